// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace qn {

struct SerialPort {
  std::string path;    ///< the name to use: by id when it has one
  std::string device;  ///< "/dev/ttyUSB0"
  std::string driver;  ///< of the kernel, "" when not known
  bool readable = true;
  std::string group;  ///< that may read it
};

/// The serial ports below `root` ("/"; another one in tests), those with a name by id first.
/// Looks in ROOT/dev/serial/by-id, ROOT/sys/class/tty.
std::vector<SerialPort> serial_ports(const std::string& root);

/// The name of a group of users; its number when it has none.
std::string group_name(unsigned group_id);

}  // namespace qn
