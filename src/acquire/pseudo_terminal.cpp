// SPDX-License-Identifier: Apache-2.0
#include "acquire/pseudo_terminal.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <utility>

#include "acquire/serial_speed_internal.h"

namespace qn {
namespace {

Error cannot_make(const char* what, const std::string& where) {
  return {ErrorKind::Io, fmt::format("{}: {}", what, std::strerror(errno)), where,
          "a free pseudo-terminal, and a folder in which a link may be made",
          "close some terminals, or choose another name"};
}

bool may_replace(const std::string& path) {
  struct stat info {};
  return ::lstat(path.c_str(), &info) != 0 || S_ISLNK(info.st_mode);
}

}  // namespace

Result<std::unique_ptr<PseudoTerminal>> PseudoTerminal::make(std::string link_path) {
  std::unique_ptr<PseudoTerminal> terminal{new PseudoTerminal{std::move(link_path)}};
  if (auto plugged = terminal->plug_in(); !plugged) return plugged.error();
  return terminal;
}

PseudoTerminal::~PseudoTerminal() { unplug(); }

Result<Done> PseudoTerminal::plug_in() {
  if (!link_path_.empty() && !may_replace(link_path_)) {
    errno = EEXIST;
    return cannot_make("the link cannot be made", link_path_);
  }
  Descriptor master{::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)};
  std::array<char, 128> name{};
  if (!master || ::grantpt(master.get()) != 0 || ::unlockpt(master.get()) != 0 ||
      ::ptsname_r(master.get(), name.data(), name.size()) != 0) {
    return cannot_make("no pseudo-terminal can be had", "/dev/ptmx");
  }
  // Opened once and closed: the line is then raw (else it would echo what is sent), and the kernel
  // says from now on whether somebody listens.
  const Descriptor other{::open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC)};
  constexpr unsigned kBaud = 115200;
  if (!other || set_serial_line(other.get(), kBaud) != 0) {
    return cannot_make("the pseudo-terminal cannot be set up", name.data());
  }
  device_ = name.data();
  if (!link_path_.empty()) {
    ::unlink(link_path_.c_str());
    if (::symlink(device_.c_str(), link_path_.c_str()) != 0) {
      return cannot_make("the link cannot be made", link_path_);
    }
  }
  master_ = std::move(master);
  return Done{};
}

void PseudoTerminal::unplug() {
  if (master_ && !link_path_.empty()) ::unlink(link_path_.c_str());
  master_.close();
}

bool PseudoTerminal::listened_to() const {
  if (!master_) return false;
  pollfd state{master_.get(), POLLOUT, 0};
  return ::poll(&state, 1, 0) >= 0 && (state.revents & POLLHUP) == 0;
}

bool PseudoTerminal::send(std::string_view bytes) {
  if (!listened_to()) return false;
  const ssize_t count = ::write(master_.get(), bytes.data(), bytes.size());
  return count == static_cast<ssize_t>(bytes.size());
}

}  // namespace qn
