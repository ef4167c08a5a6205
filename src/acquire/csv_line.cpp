// SPDX-License-Identifier: Apache-2.0
#include "acquire/csv_line.h"

#include <fmt/format.h>

#include <array>
#include <cstddef>

namespace qn {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r'; }

/// The text of a quoted cell from after its opening quote; `at` ends after the closing one.
std::string unquote(std::string_view line, std::size_t& at, bool& closed) {
  std::string text;
  closed = false;
  while (at < line.size()) {
    const char c = line[at++];
    if (c != '"') {
      text += c;
    } else if (at < line.size() && line[at] == '"') {
      text += c;
      ++at;
    } else {
      closed = true;
      break;
    }
  }
  return text;
}

}  // namespace

std::string_view trim(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

bool split_csv_line(std::string_view line, char separator, std::vector<std::string_view>& cells,
                    std::vector<std::string>& storage) {
  cells.clear();
  storage.clear();
  // Views point into these strings, so they must not move: no more cells than separators + 1.
  storage.reserve(line.find('"') == std::string_view::npos ? 0 : line.size() / 2 + 1);
  std::size_t at = 0;
  for (;;) {
    const std::size_t start = at;
    while (at < line.size() && line[at] != separator && is_blank(line[at])) ++at;
    bool closed = true;
    if (at < line.size() && line[at] == '"') {
      ++at;
      storage.push_back(unquote(line, at, closed));
      cells.push_back(storage.back());
      if (!closed) return false;
      const std::size_t next = line.find(separator, at);
      const std::size_t end = next == std::string_view::npos ? line.size() : next;
      if (!trim(line.substr(at, end - at)).empty()) return false;
      at = end;
    } else {
      const std::size_t next = line.find(separator, at);
      at = next == std::string_view::npos ? line.size() : next;
      cells.push_back(trim(line.substr(start, at - start)));
    }
    if (at == line.size()) return true;
    ++at;
  }
}

std::string show_cell(std::string_view text) {
  constexpr std::size_t kLongest = 40;
  std::string shown;
  for (const char c : text.substr(0, kLongest)) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7f) {
      shown += fmt::format("\\x{:02x}", byte);
    } else {
      shown += c;
    }
  }
  return "'" + shown + (text.size() > kLongest ? "...'" : "'");
}

bool is_missing(std::string_view cell) {
  constexpr std::array<std::string_view, 9> kWords = {"",  "nan", "na",   "n/a", "#n/a",
                                                      "-", "--",  "null", "none"};
  constexpr std::size_t kLongest = 12;
  if (cell.size() > kLongest) return false;
  std::string lower;
  for (const char c : cell) lower += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  for (const std::string_view word : kWords) {
    if (lower == word) return true;
  }
  std::string_view unsigned_part = lower;
  if (unsigned_part.front() == '-' || unsigned_part.front() == '+') unsigned_part.remove_prefix(1);
  return unsigned_part == "nan" || unsigned_part.substr(0, 4) == "nan(";
}

}  // namespace qn
