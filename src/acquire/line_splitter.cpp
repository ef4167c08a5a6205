// SPDX-License-Identifier: Apache-2.0
#include "acquire/line_splitter.h"

namespace qn {

void LineSplitter::feed(std::string_view bytes, const OnLine& on_line) {
  while (!bytes.empty()) {
    const std::size_t end = bytes.find_first_of("\r\n");
    const std::string_view part = bytes.substr(0, end);
    if (line_.empty()) line_offset_ = bytes_;
    if (!discarding_ && line_.size() + part.size() > kLongestLiveLine) {
      discarding_ = true;
      ++too_long_;
      line_.clear();
    }
    if (!discarding_) line_ += part;
    bytes_ += part.size();
    if (end == std::string_view::npos) return;
    ++bytes_;
    bytes.remove_prefix(end + 1);
    end_line(on_line);
  }
}

void LineSplitter::end_line(const OnLine& on_line) {
  discarding_ = false;
  if (line_.empty()) return;
  on_line(line_, line_offset_);
  line_.clear();
}

bool LineSplitter::drop_line() {
  const bool had_one = !line_.empty() || discarding_;
  line_.clear();
  discarding_ = false;
  return had_one;
}

}  // namespace qn
