// SPDX-License-Identifier: Apache-2.0
#include "acquire/csv_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "acquire/column_names.h"
#include "acquire/csv_line.h"
#include "acquire/csv_preamble.h"
#include "acquire/decimal.h"

namespace qn {
namespace {

constexpr std::size_t kLargestTable = 16 * 1024 * 1024;

/// Where the record that begins at `at` ends: at a line end outside quotes. A quote opens only at
/// the start of a cell; anywhere else it is an ordinary character.
std::size_t end_of_record(std::string_view bytes, std::size_t at, char separator) {
  bool quoted = false;
  bool cell_start = true;
  for (; at < bytes.size(); ++at) {
    const char c = bytes[at];
    if (quoted) {
      quoted = c != '"';  // a doubled quote closes here and opens again at the next character
      cell_start = !quoted;
    } else if (c == '"' && cell_start) {
      quoted = true;
    } else if (c == '\n') {
      return at;
    } else if (c == separator) {
      cell_start = true;
    } else if (c != ' ' && c != '\t') {
      cell_start = false;
    }
  }
  return at;
}

Error row_error(const std::string& place, std::string what, std::string expected,
                std::string remedy) {
  return {ErrorKind::BadInput, std::move(what), place, std::move(expected), std::move(remedy)};
}

}  // namespace

std::optional<std::size_t> CsvTable::find(std::string_view column) const {
  const std::string wanted = normal_name(column);
  for (std::size_t i = 0; i < header_.size(); ++i) {
    if (normal_name(header_[i]) == wanted) return i;
  }
  return std::nullopt;
}

std::string CsvTable::place(std::size_t row) const {
  return fmt::format("{}, line {}", name_, rows_[row].line);
}

std::string CsvTable::place(std::size_t row, std::size_t column) const {
  return fmt::format("{}, column {} ({})", place(row), column + 1, header_[column]);
}

Result<std::optional<double>> CsvTable::number(std::size_t row, std::size_t column) const {
  const std::string& cell = text(row, column);
  if (is_missing(cell)) return std::optional<double>{};
  const auto value = separator_ == ';' ? parse_number_with_comma(cell) : parse_number(cell);
  if (!value || !std::isfinite(*value)) {
    return row_error(
        place(row, column),
        fmt::format("{} is not a {}", show_cell(cell), value ? "finite number" : "number"),
        "a number such as -12.5", "correct or empty the cell");
  }
  return value;
}

Result<CsvTable> parse_csv_table(const ByteSource& source, const CsvExample& example) {
  if (source.size() > kLargestTable) {
    return row_error(source.name(), fmt::format("the file has {} bytes", source.size()),
                     fmt::format("a table of at most {} bytes", kLargestTable),
                     "check that this is the right file");
  }
  auto preamble = read_preamble(source, example);
  if (!preamble) return preamble.error();
  const CsvPreamble& start = preamble.value();
  CsvTable table;
  table.name_ = source.name();
  table.separator_ = start.separator;
  table.header_ = start.header;
  std::string bytes(source.size(), '\0');
  if (auto read = source.read_at(0, bytes.data(), bytes.size()); !read) return read.error();

  std::vector<std::string_view> cells;
  std::vector<std::string> storage;
  std::size_t line = start.header_line_number + 1;
  for (std::size_t at = start.data_offset; at < bytes.size();) {
    const std::size_t first_line = line;
    const std::string place = fmt::format("{}, line {}", source.name(), first_line);
    // A comment may hold a lone quote, so it ends at its line end.
    const bool comment = trim(std::string_view{bytes}.substr(at, 80)).substr(0, 1) == "#";
    const std::size_t end = comment ? std::min(bytes.find('\n', at), bytes.size())
                                    : end_of_record(bytes, at, start.separator);
    std::string_view record = std::string_view{bytes}.substr(at, end - at);
    line += static_cast<std::size_t>(std::count(record.begin(), record.end(), '\n')) + 1;
    at = end + 1;
    if (comment || trim(record).empty()) continue;
    if (record.find('\0') != std::string_view::npos) {
      return row_error(place, "the row holds bytes that are not text (0x00)", "a row of text",
                       "the file is damaged here: make it again or remove the line");
    }
    if (!record.empty() && record.back() == '\r') record.remove_suffix(1);
    if (!split_csv_line(record, start.separator, cells, storage)) {
      return row_error(place, "a quote is not closed properly in the row that begins here",
                       "quotes around whole cells, doubled inside (RFC 4180)",
                       "correct the quotes");
    }
    while (cells.size() > table.header_.size() && cells.back().empty()) cells.pop_back();
    if (cells.size() > table.header_.size()) {
      return row_error(place,
                       fmt::format("the row has {} cells, the header has {}", cells.size(),
                                   table.header_.size()),
                       "as many cells as the header has columns",
                       "put quotes around a cell that holds the separator; if the numbers have "
                       "decimal commas, separate the columns by ';'");
    }
    CsvRow row{first_line, {cells.begin(), cells.end()}};
    row.cells.resize(table.header_.size());
    table.rows_.push_back(std::move(row));
  }
  return table;
}

Result<CsvTable> read_csv_table(const std::string& path, const std::string& shown_name,
                                const CsvExample& example) {
  const auto source = open_file(path, shown_name);
  if (!source) return source.error();
  return parse_csv_table(*source.value(), example);
}

}  // namespace qn
