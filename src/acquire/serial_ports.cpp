// SPDX-License-Identifier: Apache-2.0
#include "acquire/serial_ports.h"

#include <grp.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <map>
#include <system_error>

namespace qn {
namespace {

namespace fs = std::filesystem;

std::string last_part_of_link(const fs::path& link) {
  std::error_code failed;
  const fs::path target = fs::read_symlink(link, failed);
  return failed ? std::string{} : target.filename().string();
}

/// "ttyUSB0" -> the name in /dev/serial/by-id.
std::map<std::string, std::string> names_by_id(const fs::path& root) {
  std::map<std::string, std::string> names;
  std::error_code failed;
  for (fs::directory_iterator at{root / "dev/serial/by-id", failed}, end; !failed && at != end;
       at.increment(failed)) {
    const std::string device = last_part_of_link(at->path());
    if (!device.empty()) names[device] = "/dev/serial/by-id/" + at->path().filename().string();
  }
  return names;
}

void add_rights(const fs::path& file, SerialPort& port) {
  struct stat info {};
  if (::stat(file.c_str(), &info) != 0) return;
  port.readable = ::access(file.c_str(), R_OK) == 0;
  port.group = group_name(info.st_gid);
}

}  // namespace

std::string group_name(unsigned group_id) {
  std::array<char, 4096> room{};
  group entry{};
  group* found = nullptr;
  if (::getgrgid_r(group_id, &entry, room.data(), room.size(), &found) != 0 || found == nullptr) {
    return std::to_string(group_id);
  }
  return entry.gr_name;
}

std::vector<SerialPort> serial_ports(const std::string& root) {
  const fs::path base{root};
  const auto by_id = names_by_id(base);
  std::vector<SerialPort> ports;
  std::error_code failed;
  for (fs::directory_iterator at{base / "sys/class/tty", failed}, end; !failed && at != end;
       at.increment(failed)) {
    const std::string name = at->path().filename().string();
    // Consoles and pseudo-terminals have no device behind them; a board's many empty sockets for
    // serial chips all hang on the driver "serial8250".
    const std::string driver = last_part_of_link(at->path() / "device/driver");
    std::error_code ignored;
    if (!fs::exists(at->path() / "device", ignored) || driver == "serial8250") continue;
    const std::string device = "/dev/" + name;
    const auto found = by_id.find(name);
    SerialPort port{found == by_id.end() ? device : found->second, device, driver, true, ""};
    add_rights(base / "dev" / name, port);
    ports.push_back(std::move(port));
  }
  std::sort(ports.begin(), ports.end(), [](const SerialPort& a, const SerialPort& b) {
    const bool a_named = a.path != a.device;
    const bool b_named = b.path != b.device;
    return a_named != b_named ? a_named : a.path < b.path;
  });
  return ports;
}

}  // namespace qn
