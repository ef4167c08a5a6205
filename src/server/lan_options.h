// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "server/network_limits.h"
#include "server/own_names.h"
#include "server/role.h"
#include "vocab/time.h"

namespace qn {

/// The clocks of this machine: one that never steps, and the one on the wall, since 1970.
double monotonic_s();
std::int64_t system_clock_s();

/// What a device needs to come in from the network.
struct Invitation {
  std::vector<std::string> urls;  ///< the likeliest first; empty: no network yet
  std::string code;               ///< "7K3M-Q9XD"; empty: the last one was used or is too old
  Role role = Role::operate;
  double expires_s = 0.0;
  std::string qr_svg, qr_text;  ///< the first address with the code behind it
  std::string fingerprint;      ///< SHA-256 of the certificate
};

/// Opens the server to the network as well, under TLS and for paired devices only.
struct LanOptions {
  std::uint16_t port = 8231;  ///< on all interfaces (IPv4); 0: any free one
  std::string state_folder;   ///< of the key; empty: the user's, see state_folder()
  NetworkLimits limits;
  /// Called on the server's thread whenever there is another code or address to be shown.
  std::function<void(const Invitation&)> on_invitation;
  // The world outside, which a test replaces.
  std::function<OwnNames()> names = own_names;
  std::function<double()> now_s = monotonic_s;
  std::function<std::int64_t()> unix_s = system_clock_s;
  Duration look_around = Duration::seconds(5);  ///< how often the machine's addresses are asked for
};

}  // namespace qn
