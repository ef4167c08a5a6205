// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "acquire/transport.h"
#include "vocab/result.h"

namespace qn {

/// What was recorded of one link, from its start to its end: the events that a live link would have
/// had, with times from the recording's start. A book, a recording of our own and a plain text log
/// are all played through this.
class ChunkSource {
 public:
  virtual ~ChunkSource() = default;
  /// The next event in time order; nothing at the end.
  virtual std::optional<LinkEvent> next() = 0;
  virtual bool pieces_are_whole() const { return false; }
  virtual bool joins_midway() const { return false; }
};

/// A text log of lines: those that have a number in a column of time come at that time (as the
/// header names it: time_s, time_ms ...), others evenly, kTextLines_per_s of them.
///
/// errors  BadInput: the file is missing, unreadable or longer than 256 MiB
Result<std::unique_ptr<ChunkSource>> text_log_source(const std::string& path);
inline constexpr double kTextLines_per_s = 10.0;

/// The same from text at hand.
std::unique_ptr<ChunkSource> text_source(std::string text);

}  // namespace qn
