// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <limits>
#include <string_view>
#include <system_error>
#include <utility>

#include "acquire/csv_line.h"
#include "acquire/decimal.h"
#include "acquire/log_block_internal.h"

namespace qn {
namespace {

constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();

/// The bytes of all lines that begin in the piece, the last one with a line end.
struct Lines {
  const char* begin = nullptr;
  const char* end = nullptr;
};

/// Reads on until the line that is open at the end of the piece is complete, or too long.
bool complete_last_line(const ByteSource& source, std::size_t offset, std::size_t& used,
                        LogBlock& block) {
  std::size_t step = 256;
  for (std::size_t extra = 0; extra <= kLongestLine && offset < source.size(); step *= 2) {
    const std::size_t count = std::min(step, source.size() - offset);
    if (block.bytes.size() < used + count + 1 + kDecimalPadding) {
      block.bytes.resize(used + count + 1 + kDecimalPadding);
    }
    char* const to = block.bytes.data() + used;
    if (auto read = source.read_at(offset, to, count); !read) {
      block.read_error = read.error();
      return false;
    }
    const auto* const end = static_cast<const char*>(std::memchr(to, '\n', count));
    if (end != nullptr) {
      used += static_cast<std::size_t>(end - to) + 1;
      return true;
    }
    used += count;
    offset += count;
    extra += count;
  }
  block.bytes[used++] = '\n';
  return true;
}

Lines load_lines(const ByteSource& source, const RowPlan& plan, std::size_t index,
                 LogBlock& block) {
  const std::size_t begin = plan.data_offset + index * kBlockBytes;
  const std::size_t end = std::min(begin + kBlockBytes, source.size());
  // One byte more in front tells whether a line begins right at the start.
  const std::size_t from = index == 0 ? begin : begin - 1;
  const std::size_t needed = end - from + kDecimalPadding + 1;
  if (block.bytes.size() < needed) block.bytes.resize(needed);
  std::size_t used = end - from;
  if (auto read = source.read_at(from, block.bytes.data(), used); !read) {
    block.read_error = read.error();
    return {};
  }
  std::size_t start = 0;
  if (index > 0) {
    const void* const line_end = std::memchr(block.bytes.data(), '\n', used);
    if (line_end == nullptr) return {};
    start = static_cast<std::size_t>(static_cast<const char*>(line_end) - block.bytes.data()) + 1;
  }
  if (start == used) return {};
  if (block.bytes[used - 1] != '\n' && !complete_last_line(source, end, used, block)) return {};
  return {block.bytes.data() + start, block.bytes.data() + used};
}

class BlockParser {
 public:
  BlockParser(const RowPlan& plan, Lines lines, LogBlock& block)
      : plan_{plan}, block_{block}, at_{lines.begin}, end_{lines.end} {
    for (const int slot : plan.slot_of_column) {
      fast_.push_back(slot < 0 ? FastColumn{} : FastColumn{plan.slots[as_index(slot)].limit, {}});
    }
    aim();
  }

  void run() {
    while (at_ != end_) {
      if (block_.rows == block_.capacity()) grow();
      if (!parse_fast() && !parse_carefully()) return;
      ++block_.lines;
    }
  }

 private:
  struct FastColumn {
    double limit = 0.0;
    double* values = nullptr;  ///< null: not read
  };

  static std::size_t as_index(int slot) { return static_cast<std::size_t>(slot); }

  void aim() {
    for (std::size_t column = 0; column < fast_.size(); ++column) {
      const int slot = plan_.slot_of_column[column];
      if (slot >= 0) fast_[column].values = block_.values[as_index(slot)].data();
    }
  }

  void grow() {
    const std::size_t capacity = std::max<std::size_t>(64, 2 * block_.capacity());
    for (auto& column : block_.values) column.resize(capacity);
    block_.line_of_row.resize(capacity);
    aim();
  }

  void finish_row() {
    block_.line_of_row[block_.rows] = static_cast<std::uint32_t>(block_.lines);
    ++block_.rows;
  }

  /// The row at `at_` when it is as regular as nearly all are; else nothing changes.
  bool parse_fast() {
    const char* p = at_;
    const std::size_t row = block_.rows;
    const char separator = plan_.separator;
    const char point = plan_.decimal_point;
    const FastColumn* const end = fast_.data() + fast_.size();
    for (const FastColumn* column = fast_.data(); column != end; ++column) {
      if (column != fast_.data() && *p++ != separator) return false;
      while (*p == ' ') ++p;
      if (column->values == nullptr) {
        while (*p != separator && *p != '\n') {
          if (*p++ == '"') return false;
        }
        continue;
      }
      ParsedDecimal number = parse_plain_decimal(p, point);
      if (number.next == nullptr) {
        const auto [next, problem] = std::from_chars(p, end_, number.value);
        if (problem != std::errc{}) return false;
        number.next = next;
      }
      if (!(std::fabs(number.value) <= column->limit)) return false;  // NaN too
      column->values[row] = number.value;
      p = number.next;
    }
    if (*p == '\r') ++p;
    if (*p != '\n' || static_cast<std::size_t>(p - at_) > kLongestLine) return false;
    at_ = p + 1;
    finish_row();
    return true;
  }

  /// Any line; false when it ends the reading.
  bool parse_carefully() {
    const auto length_left = static_cast<std::size_t>(end_ - at_);
    const auto* const line_end = static_cast<const char*>(std::memchr(at_, '\n', length_left));
    std::string_view line{at_, static_cast<std::size_t>(line_end - at_)};
    if (line.size() > kLongestLine) return fail(RowFault::Kind::line_too_long, 0, line);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    const std::string_view text = trim(line);
    at_ = line_end + 1;
    if (text.empty() || text.front() == '#') return true;
    if (line == plan_.header_line) {
      ++block_.repeated_headers;
      return true;
    }
    if (!split_csv_line(line, plan_.separator, cells_, storage_)) {
      return fail(RowFault::Kind::open_quote, cells_.empty() ? 0 : cells_.size() - 1,
                  cells_.empty() ? line : cells_.back());
    }
    return store_cells();
  }

  bool store_cells() {
    const std::size_t columns = plan_.slot_of_column.size();
    while (cells_.size() > columns && cells_.back().empty()) cells_.pop_back();
    if (cells_.size() > columns) {
      fail(RowFault::Kind::too_many_cells, columns, {});
      block_.fault->found = std::to_string(cells_.size());
      return false;
    }
    if (cells_.size() < columns) ++block_.short_rows;
    for (std::size_t column = 0; column < columns; ++column) {
      if (plan_.slot_of_column[column] < 0) continue;
      const auto slot = static_cast<std::size_t>(plan_.slot_of_column[column]);
      const std::string_view cell = column < cells_.size() ? cells_[column] : std::string_view{};
      double value = kMissing;
      if (is_missing(cell)) {
        ++block_.missing_of_slot[slot];
      } else if (!store_number(cell, column, slot, value)) {
        return false;
      }
      block_.values[slot][block_.rows] = value;
    }
    finish_row();
    return true;
  }

  bool store_number(std::string_view cell, std::size_t column, std::size_t slot, double& value) {
    const auto number = number_of(cell);
    const LogSlot& rules = plan_.slots[slot];
    if (number && std::fabs(*number) <= rules.limit) {
      value = *number;
      return true;
    }
    if (rules.may_hold_text) {
      ++block_.missing_of_slot[slot];
      return true;
    }
    return fail(!number               ? RowFault::Kind::not_a_number
                : std::isinf(*number) ? RowFault::Kind::infinite
                                      : RowFault::Kind::too_large,
                column, cell);
  }

  /// Beside ';' a comma is a decimal comma, whatever the first rows looked like.
  std::optional<double> number_of(std::string_view cell) {
    if (plan_.separator != ';' || cell.find(',') == std::string_view::npos) {
      return parse_number(cell);
    }
    if (cell.find('.') != std::string_view::npos) return std::nullopt;
    comma_text_ = cell;
    comma_text_[comma_text_.find(',')] = '.';
    return parse_number(comma_text_);
  }

  bool fail(RowFault::Kind kind, std::size_t column, std::string_view found) {
    block_.fault = RowFault{kind, block_.lines, column, show_cell(found)};
    return false;
  }

  const RowPlan& plan_;
  LogBlock& block_;
  const char* at_;
  const char* end_;
  std::vector<FastColumn> fast_;  ///< by column
  std::vector<std::string_view> cells_;
  std::vector<std::string> storage_;
  std::string comma_text_;
};

}  // namespace

RowPlan plan_rows(CsvPreamble preamble) {
  RowPlan plan;
  plan.separator = preamble.separator;
  plan.decimal_point = preamble.decimal_point;
  plan.header_line = std::move(preamble.header_line);
  plan.column_names = std::move(preamble.header);
  plan.slot_of_column.assign(plan.column_names.size(), -1);
  plan.data_offset = preamble.data_offset;
  plan.first_line_number = preamble.header_line_number + 1;
  return plan;
}

void read_log_block(const ByteSource& source, const RowPlan& plan, std::size_t index,
                    LogBlock& block) {
  block.values.resize(plan.slots.size());
  block.missing_of_slot.assign(plan.slots.size(), 0);
  block.rows = block.lines = block.short_rows = block.repeated_headers = 0;
  block.fault.reset();
  block.read_error.reset();
  const Lines lines = load_lines(source, plan, index, block);
  if (lines.begin != nullptr) BlockParser{plan, lines, block}.run();
}

}  // namespace qn
