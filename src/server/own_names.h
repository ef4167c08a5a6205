// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace qn {

/// What this machine is called on its networks. Only IPv4: every phone and hotspot has it.
struct OwnNames {
  std::vector<std::string> addresses;  ///< "192.168.1.5"; the one to show first; no loopback
  std::vector<std::string> names;      ///< "hangar", "hangar.local"

  friend bool operator==(const OwnNames&, const OwnNames&) = default;
};

/// Asks the system anew each time. Empty lists: no network.
OwnNames own_names();

}  // namespace qn
