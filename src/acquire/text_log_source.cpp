// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "acquire/byte_source.h"
#include "acquire/chunk_source.h"
#include "acquire/column_names.h"
#include "acquire/csv_line.h"
#include "acquire/csv_preamble.h"
#include "acquire/decimal.h"

namespace qn {
namespace {

class TextSource : public ChunkSource {
 public:
  explicit TextSource(std::string text) : text_{std::move(text)} {}

  std::optional<LinkEvent> next() override {
    if (at_ == 0 && !std::exchange(opened_, true)) {
      return LinkEvent{LinkEvent::Kind::opened, 0, 0.0, ""};
    }
    if (at_ >= text_.size()) return std::nullopt;
    const std::size_t end = text_.find('\n', at_);
    const std::size_t next = end == std::string::npos ? text_.size() : end + 1;
    const std::string_view line{text_.data() + at_, next - at_};
    at_ = next;
    const auto stated = time_of(line);
    if (stated) {
      if (!first_) first_ = *stated;
      // A step back in the log is part of what it holds, not of how it is played.
      now_s_ = std::max(now_s_, *stated - *first_);
    } else if (any_data_) {
      now_s_ += time_column_ ? 0.0 : 1.0 / kTextLines_per_s;
    }
    any_data_ = true;
    return LinkEvent{LinkEvent::Kind::bytes, 0, now_s_, std::string{line}};
  }

 private:
  std::optional<double> time_of(std::string_view line) {
    line = trim(line.substr(0, line.find_last_not_of("\r\n") + 1));
    if (line.empty() || line.front() == '#' || line.front() == '$') return std::nullopt;
    if (!time_column_) {
      look_for_header(line);
      return std::nullopt;
    }
    split_csv_line(line, separator_, cells_, storage_);
    if (*time_column_ >= cells_.size()) return std::nullopt;
    const std::string_view cell = cells_[*time_column_];
    const auto value = separator_ == ',' ? parse_number(cell) : parse_number_with_comma(cell);
    if (!value || !std::isfinite(*value)) return std::nullopt;
    return scale_.apply(*value);
  }

  void look_for_header(std::string_view line) {
    separator_ = guess_separator(line);
    split_csv_line(line, separator_, cells_, storage_);
    const std::vector<std::string> header{cells_.begin(), cells_.end()};
    const auto columns = find_link_columns(header, {}, "header");
    if (!columns) return;
    const auto& time = columns.value()[LogQuantity::time];
    if (!time) return;
    time_column_ = time->column;
    scale_ = time->scale;
  }

  std::string text_;
  std::size_t at_ = 0;
  bool opened_ = false;
  bool any_data_ = false;
  double now_s_ = 0.0;
  std::optional<double> first_;
  std::optional<std::size_t> time_column_;
  UnitScale scale_;
  char separator_ = ',';
  std::vector<std::string_view> cells_;
  std::vector<std::string> storage_;
};

}  // namespace

std::unique_ptr<ChunkSource> text_source(std::string text) {
  return std::make_unique<TextSource>(std::move(text));
}

Result<std::unique_ptr<ChunkSource>> text_log_source(const std::string& path) {
  constexpr std::size_t kLongest = std::size_t{256} << 20;
  const auto file = open_file(path);
  if (!file) return file.error();
  if (file.value()->size() > kLongest) {
    return Error{ErrorKind::BadInput, "the log is longer than 256 MiB", file.value()->name(),
                 "a log that can be held in memory", "cut the log into parts, and play one"};
  }
  std::string text(file.value()->size(), '\0');
  if (auto read = file.value()->read_at(0, text.data(), text.size()); !read) return read.error();
  return text_source(std::move(text));
}

}  // namespace qn
