// SPDX-License-Identifier: Apache-2.0
#include "acquire/transport_serial.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "acquire/descriptor.h"
#include "acquire/serial_ports.h"
#include "acquire/serial_speed_internal.h"

namespace qn {
namespace {

constexpr double kRetry_s = 0.25;

/// The group that owns the port; empty when it could not read it either.
std::string group_of(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0 || (info.st_mode & S_IRGRP) == 0) return "";
  return group_name(info.st_gid);
}

Error cannot_open(const std::string& path, int reason) {
  const auto error = [&](std::string what, std::string remedy) {
    return Error{ErrorKind::Io, std::move(what), path, "a serial port that is there and not in use",
                 std::move(remedy)};
  };
  switch (reason) {
    case EACCES:
    case EPERM: return port_forbidden(path, group_of(path));
    case ENOENT:
    case ENXIO:
    case ENODEV:
      return error("there is no such port",
                   "plug the sensor in; 'quietnorth link list' shows what there is");
    case EBUSY: return error("another program holds the port", "end that program, then try again");
    case ENOTTY:
      return error("this is no serial port",
                   "choose one of 'quietnorth link list'; a file is played with replay:FILE");
    case EINVAL: return error("the port refuses this speed", "choose another speed after the '@'");
    default:
      return error(fmt::format("the port cannot be opened: {}", std::strerror(reason)),
                   "unplug the sensor and plug it in again");
  }
}

class SerialTransport : public Transport {
 public:
  SerialTransport(std::string path, unsigned baud) : path_{std::move(path)}, baud_{baud} {}

  const std::string& name() const override { return path_; }
  int descriptor() const override { return port_.get(); }
  bool joins_midway() const override { return true; }
  double due_s() const override { return port_ && !opened_to_tell_ ? kNever : retry_s_; }

  Result<Done> open(double now_s) override {
    const int reason = try_open();
    if (reason != 0) return cannot_open(path_, reason);
    retry_s_ = now_s;
    return Done{};
  }

  void serve(double now_s, std::vector<LinkEvent>& events) override {
    if (!port_) {
      if (now_s < retry_s_) return;
      const int reason = try_open();
      if (reason != 0) {
        retry_s_ = now_s + kRetry_s;
        if (reason != told_reason_ && reason != ENOENT) {
          events.push_back({LinkEvent::Kind::remark, 0, now_s, cannot_open(path_, reason).what});
        }
        told_reason_ = reason;
        return;
      }
    }
    if (opened_to_tell_) events.push_back({LinkEvent::Kind::opened, 0, now_s, ""});
    opened_to_tell_ = false;
    ReadBytes got = read_available(port_.get());
    if (!got.bytes.empty()) {
      events.push_back({LinkEvent::Kind::bytes, 0, now_s, std::move(got.bytes)});
    }
    if (!got.over) return;
    // Unplugged: end of file, EIO or ENXIO, by driver and kernel.
    port_.close();
    retry_s_ = now_s + kRetry_s;
    told_reason_ = 0;
    events.push_back({LinkEvent::Kind::lost, 0, now_s, "the port went away"});
  }

 private:
  /// 0, or errno.
  int try_open() {
    Descriptor port{::open(path_.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)};
    if (!port) return errno;
    if (::isatty(port.get()) == 0) return ENOTTY;
    if (const int reason = set_serial_line(port.get(), baud_); reason != 0) return reason;
    (void)::ioctl(port.get(), TIOCEXCL);  // a driver without it still reads well
    port_ = std::move(port);
    opened_to_tell_ = true;
    return 0;
  }

  std::string path_;
  unsigned baud_;
  Descriptor port_;
  double retry_s_ = 0.0;
  int told_reason_ = 0;
  bool opened_to_tell_ = false;
};

}  // namespace

Error port_forbidden(const std::string& path, const std::string& group) {
  if (group.empty()) {
    return Error{ErrorKind::Io, "you may not read this port", path,
                 "a port that its group may read",
                 "ask whoever looks after this computer for read permission"};
  }
  return Error{ErrorKind::Io, fmt::format("you may not read this port; the group {} may", group),
               path, fmt::format("membership of the group {}", group),
               fmt::format("type: sudo usermod -aG {} $USER, then log out and in again", group)};
}

std::unique_ptr<Transport> serial_transport(std::string path, unsigned baud) {
  return std::make_unique<SerialTransport>(std::move(path), baud);
}

}  // namespace qn
