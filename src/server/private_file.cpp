// SPDX-License-Identifier: Apache-2.0
#include "server/private_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iterator>

namespace qn {

std::optional<std::string> read_private_file(const std::string& path) {
  struct stat about {};
  if (::stat(path.c_str(), &about) != 0 || (about.st_mode & 077) != 0) return std::nullopt;
  std::ifstream in{path, std::ios::binary};
  return std::string{std::istreambuf_iterator<char>{in}, {}};
}

std::optional<std::string> write_private_file(const std::string& path, const std::string& bytes) {
  std::string name = path + "-XXXXXX";
  const int file = ::mkstemp(name.data());
  if (file < 0) return std::strerror(errno);
  const bool written =
      ::write(file, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size()) &&
      ::fsync(file) == 0;
  const int why = errno;
  ::close(file);
  if (written && ::rename(name.c_str(), path.c_str()) == 0) return std::nullopt;
  const int reason = written ? errno : why;
  ::unlink(name.c_str());
  return std::strerror(reason);
}

}  // namespace qn
