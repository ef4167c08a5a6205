// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "server/http_server_internal.h"
#include "server/network_door.h"
#include "server/pairing.h"
#include "server/serve.h"
#include "server/tls_identity.h"

namespace qn {

/// All that `--lan` adds: the certificate, the code on the host's screen, who is paired, and the
/// door that requests from the network pass. For the server's thread.
class NetworkSide {
 public:
  /// errors  Io when the key cannot be kept
  static Result<std::unique_ptr<NetworkSide>> make(const LanOptions& options);

  HttpHandlers before(HttpHandlers inner) { return door_.before(std::move(inner)); }
  void opened_on(std::uint16_t port);
  const TlsIdentity& identity() const { return identity_; }
  Pairing& pairing() { return pairing_; }
  const Pairing& pairing() const { return pairing_; }

  void invite(Role role);  ///< a new code, told by on_invitation
  void tell() const;       ///< the code that is good now, again
  /// The code is empty when the last one was used or is too old.
  Invitation invitation() const;

  /// The machine may have joined another network since.
  /// returns  whether there is a new certificate, which the server has to take
  bool look_around();

 private:
  NetworkSide(const LanOptions& options, OwnNames names, std::string folder, TlsIdentity identity);

  const LanOptions& options_;
  OwnNames names_;
  std::string folder_;
  TlsIdentity identity_;
  std::uint16_t port_ = 0;
  Pairing pairing_;
  NetworkDoor door_;
};

}  // namespace qn
