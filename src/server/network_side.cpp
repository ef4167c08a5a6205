// SPDX-License-Identifier: Apache-2.0
#include "server/network_side.h"

#include <utility>

#include "app/utc_now.h"
#include "server/pairing_file.h"
#include "server/qr_code.h"

namespace qn {

Result<std::unique_ptr<NetworkSide>> NetworkSide::make(const LanOptions& options) {
  std::string folder = options.state_folder;
  if (folder.empty()) {
    auto own = state_folder();
    if (!own) return own.error();
    folder = std::move(own).value();
  }
  OwnNames names = options.names();
  auto identity = tls_identity(folder, names, options.unix_s());
  if (!identity) return identity.error();
  return std::unique_ptr<NetworkSide>{
      new NetworkSide{options, std::move(names), std::move(folder), std::move(identity).value()}};
}

NetworkSide::NetworkSide(const LanOptions& options, OwnNames names, std::string folder,
                         TlsIdentity identity)
    : options_{options},
      names_{std::move(names)},
      folder_{std::move(folder)},
      identity_{std::move(identity)},
      pairing_{options.now_s, utc_now},
      door_{pairing_, options.limits} {
  const std::string path = folder_ + "/pairings.json";
  pairing_.restore(read_pairings(path, options_.unix_s()));
  // A disk that does not take it costs the next run of the program its pairings, and nothing now.
  pairing_.on_changed = [this, path] {
    static_cast<void>(write_pairings(path, pairing_.kept(), options_.unix_s()));
  };
}

void NetworkSide::opened_on(std::uint16_t port) {
  port_ = port;
  door_.open_for(names_, port);
}

void NetworkSide::invite(Role role) {
  pairing_.invite(role);
  tell();
}

void NetworkSide::tell() const {
  if (options_.on_invitation) options_.on_invitation(invitation());
}

Invitation NetworkSide::invitation() const {
  const auto url = [this](const std::string& host) {
    return "https://" + host + ":" + std::to_string(port_) + "/";
  };
  Invitation told;
  for (const auto& address : names_.addresses) told.urls.push_back(url(address));
  for (const auto& name : names_.names) told.urls.push_back(url(name));
  told.fingerprint = identity_.facts.fingerprint;
  const auto code = pairing_.invitation();
  if (!code) return told;
  told.code = code->shown;
  told.role = code->role;
  told.expires_s = code->left_s;
  if (told.urls.empty()) return told;  // no network yet
  const QrCode qr = qr_code(told.urls.front() + "#pair=" + told.code);
  told.qr_svg = qr_svg(qr);
  told.qr_text = qr_text(qr);
  return told;
}

bool NetworkSide::look_around() {
  OwnNames now = options_.names();
  if (now == names_) return false;
  names_ = std::move(now);
  door_.open_for(names_, port_);
  auto identity = tls_identity(folder_, names_, options_.unix_s());
  // Without a new one the old one goes on: browsers warn of the name, and the fingerprint holds.
  const bool renewed =
      identity && identity.value().facts.fingerprint != identity_.facts.fingerprint;
  if (renewed) identity_ = std::move(identity).value();
  if (pairing_.invitation()) tell();  // its address is another one
  return renewed;
}

}  // namespace qn
