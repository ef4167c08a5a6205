// SPDX-License-Identifier: Apache-2.0
#include "acquire/csv_preamble.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "acquire/csv_line.h"
#include "acquire/decimal.h"

namespace qn {
namespace {

constexpr std::size_t kWindow = 1024 * 1024;  // comments before the header may fill this much

Error refuse(const ByteSource& source, const CsvExample& example, std::size_t line,
             std::string what, std::string remedy) {
  const std::string where =
      line == 0 ? source.name() : fmt::format("{}, line {}", source.name(), line);
  return {ErrorKind::BadInput, std::move(what), where,
          fmt::format("a CSV text file: a header row such as {}, then one row per {}",
                      example.header, example.row),
          std::move(remedy)};
}

bool is_comment_or_empty(std::string_view line) {
  const std::string_view text = trim(line);
  return text.empty() || text.front() == '#' || (text.size() == 5 && text.substr(0, 4) == "sep=");
}

/// Nothing when the bytes look like text.
const char* why_not_text(std::string_view bytes) {
  const std::string_view start = bytes.substr(0, 4096);
  if (start.substr(0, 2) == "\xff\xfe" || start.substr(0, 2) == "\xfe\xff") {
    return "the file is stored as UTF-16";
  }
  if (start.find('\0') != std::string_view::npos) return "the file is binary, not text";
  return nullptr;
}

char guess_decimal_point(std::string_view data, char separator) {
  if (separator != ';') return '.';
  const std::size_t mark = data.find_first_of(".,");
  return mark != std::string_view::npos && data[mark] == ',' ? ',' : '.';
}

Result<CsvPreamble> understand_header(const ByteSource& source, const CsvExample& example,
                                      CsvPreamble preamble) {
  const std::size_t line = preamble.header_line_number;
  if (preamble.header_line.size() > kLongestLine) {
    return refuse(
        source, example, line, fmt::format("the line is longer than {} bytes", kLongestLine),
        fmt::format("check that this is the right file; if so, write each {} on a line of its own",
                    example.row));
  }
  if (preamble.header_line.find('\r') != std::string::npos) {
    return refuse(source, example, line, "the lines end with a carriage return alone",
                  "save the file with usual line ends (LF or CR LF)");
  }
  preamble.separator = guess_separator(preamble.header_line);
  std::vector<std::string_view> cells;
  std::vector<std::string> storage;
  if (!split_csv_line(preamble.header_line, preamble.separator, cells, storage)) {
    return refuse(source, example, line, "a quote in the header row is not closed properly",
                  "close the quote on the same line; write a quote inside a cell twice (\"\")");
  }
  if (cells.size() > kMostColumns) {
    return refuse(
        source, example, line,
        fmt::format("the header has {} columns, more than {}", cells.size(), kMostColumns),
        "keep only the time and the columns of one sensor");
  }
  const bool only_numbers = std::all_of(cells.begin(), cells.end(), [](std::string_view cell) {
    return is_missing(cell) || parse_number_with_comma(cell).has_value();
  });
  if (only_numbers) {
    return refuse(source, example, line,
                  "the first row holds numbers only, so the columns have no names",
                  fmt::format("put a line with the names in front, for example {}{}",
                              example.header, example.more));
  }
  preamble.header.assign(cells.begin(), cells.end());
  return preamble;
}

}  // namespace

char guess_separator(std::string_view header_line) {
  constexpr std::array<char, 3> kSeparators = {';', '\t', ','};
  std::array<std::size_t, 3> counts{};
  bool quoted = false;
  int brackets = 0;
  for (const char c : header_line) {
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == '(' || c == '[') ++brackets;
    if ((c == ')' || c == ']') && brackets > 0) --brackets;
    for (std::size_t i = 0; brackets == 0 && i < counts.size(); ++i) {
      if (c == kSeparators[i]) ++counts[i];
    }
  }
  const auto most = std::max_element(counts.begin(), counts.end());
  return *most == 0 ? ',' : kSeparators[static_cast<std::size_t>(most - counts.begin())];
}

Result<CsvPreamble> read_preamble(const ByteSource& source, const CsvExample& example) {
  if (source.size() == 0) {
    return refuse(source, example, 0, "the file is empty",
                  fmt::format("{}, or check that the copy was completed", example.made_again));
  }
  std::string window(std::min(source.size(), kWindow), '\0');
  if (auto read = source.read_at(0, window.data(), window.size()); !read) return read.error();
  if (const char* why = why_not_text(window)) {
    return refuse(source, example, 0, why, "export it as CSV text (UTF-8)");
  }
  std::size_t at = window.compare(0, 3, "\xef\xbb\xbf") == 0 ? 3 : 0;
  CsvPreamble preamble;
  for (std::size_t number = 1; at < window.size(); ++number) {
    const std::size_t end = window.find('\n', at);
    const bool whole = end != std::string::npos || window.size() == source.size();
    if (!whole) break;
    std::string_view line =
        std::string_view{window}.substr(at, end == std::string::npos ? end : end - at);
    at = end == std::string::npos ? window.size() : end + 1;
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    if (is_comment_or_empty(line) && line.find('\r') == std::string_view::npos) continue;
    preamble.header_line = line;
    preamble.header_line_number = number;
    preamble.data_offset = at;
    auto understood = understand_header(source, example, std::move(preamble));
    if (!understood) return understood;
    CsvPreamble result = std::move(understood).value();
    result.decimal_point =
        guess_decimal_point(std::string_view{window}.substr(at), result.separator);
    return result;
  }
  if (at < window.size()) {
    return refuse(source, example, 0, fmt::format("no header row in the first {} bytes", kWindow),
                  "check that this is a CSV file; shorten its comments");
  }
  return refuse(source, example, 0, "the file holds only comments or empty lines",
                fmt::format("{}, or check that the copy was completed", example.made_again));
}

}  // namespace qn
