// SPDX-License-Identifier: Apache-2.0
#include "acquire/transport_input.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "vocab/expects.h"

namespace qn {
namespace {

/// Standard input is not ours to change: a terminal shared with the shell must not be left as one
/// that does not block. So only what poll() has announced is read, once.
class InputTransport : public Transport {
 public:
  InputTransport(std::string name, int number, Descriptor owned)
      : name_{std::move(name)}, number_{number}, owned_{std::move(owned)} {}

  const std::string& name() const override { return name_; }
  int descriptor() const override { return told_ && !ended_ ? number_ : -1; }
  double due_s() const override { return told_ ? kNever : 0.0; }
  Result<Done> open(double) override { return Done{}; }

  void serve(double now_s, std::vector<LinkEvent>& events) override {
    if (!std::exchange(told_, true)) {
      events.push_back({LinkEvent::Kind::opened, 0, now_s, ""});
      return;
    }
    if (ended_) return;
    std::string block(65536, '\0');
    const ssize_t count = ::read(number_, block.data(), block.size());
    if (count < 0 && (errno == EINTR || errno == EAGAIN)) return;
    if (count > 0) {
      block.resize(static_cast<std::size_t>(count));
      events.push_back({LinkEvent::Kind::bytes, 0, now_s, std::move(block)});
      return;
    }
    ended_ = true;
    events.push_back({LinkEvent::Kind::ended, 0, now_s, ""});
  }

 private:
  std::string name_;
  int number_;
  Descriptor owned_;
  bool told_ = false;
  bool ended_ = false;
};

}  // namespace

std::unique_ptr<Transport> standard_input_transport(std::string name) {
  return std::make_unique<InputTransport>(std::move(name), STDIN_FILENO, Descriptor{});
}

Result<std::unique_ptr<TypedLines>> TypedLines::make() {
  int ends[2] = {-1, -1};
  if (::pipe2(ends, O_CLOEXEC | O_NONBLOCK) != 0) {
    return Error{ErrorKind::Io, std::string{"no pipe can be had: "} + std::strerror(errno),
                 "link for typed readings", "a few free file handles",
                 "close some programs, then try again"};
  }
  return std::unique_ptr<TypedLines>{new TypedLines{Descriptor{ends[0]}, Descriptor{ends[1]}}};
}

Result<Done> TypedLines::add(std::string_view line) {
  constexpr std::size_t kLongest = 400;  // far below what a pipe takes in one piece
  if (line.size() > kLongest || line.find_first_of("\r\n") != std::string_view::npos) {
    return Error{ErrorKind::OutOfRange, "a typed reading is one short line", "typed reading",
                 "a heading such as 123, or a name and a heading", "type it again"};
  }
  std::string bytes{line};
  bytes += '\n';
  const ssize_t count = write_end_ ? ::write(write_end_.get(), bytes.data(), bytes.size()) : -1;
  if (count == static_cast<ssize_t>(bytes.size())) return Done{};
  return Error{ErrorKind::Io, "the reading could not be taken", "typed reading",
               "a recording that is under way", "start the recording, then type it again"};
}

std::unique_ptr<Transport> TypedLines::transport(std::string name) {
  QN_EXPECTS(static_cast<bool>(read_end_));
  const int number = read_end_.get();
  return std::make_unique<InputTransport>(std::move(name), number, std::move(read_end_));
}

void TypedLines::end() { write_end_.close(); }

}  // namespace qn
