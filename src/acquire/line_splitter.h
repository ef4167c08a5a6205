// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>

namespace qn {

/// Longer lines are thrown away as they come, so that memory stays bounded whatever arrives.
inline constexpr std::size_t kLongestLiveLine = 4096;

/// Cuts a stream into lines, whatever pieces it comes in. CR, LF and CR LF all end a line; empty
/// lines are passed over, so that the three need not be told apart across pieces.
class LineSplitter {
 public:
  /// offset  of the line's first byte in the whole stream
  using OnLine = std::function<void(std::string_view line, std::uint64_t offset)>;

  void feed(std::string_view bytes, const OnLine& on_line);
  /// What is there is a whole line although no line end came: the end of a datagram.
  void end_line(const OnLine& on_line);
  /// Forgets an unfinished line. returns  whether there was one
  bool drop_line();

  std::uint64_t bytes() const { return bytes_; }
  std::uint64_t too_long() const { return too_long_; }
  std::size_t unfinished() const { return line_.size(); }

 private:
  std::string line_;
  std::uint64_t line_offset_ = 0;
  std::uint64_t bytes_ = 0;
  std::uint64_t too_long_ = 0;
  bool discarding_ = false;
};

}  // namespace qn
