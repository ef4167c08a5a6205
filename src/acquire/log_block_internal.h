// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "acquire/byte_source.h"
#include "acquire/csv_preamble.h"
#include "acquire/running_statistics_internal.h"
#include "vocab/result.h"

namespace qn {

/// A log is worked on in pieces of this size: they fit into a core's own cache.
inline constexpr std::size_t kBlockBytes = 256 * 1024;

/// One column that is read.
struct LogSlot {
  double limit = 1e300;      ///< a larger value, in the file's unit, cannot be meant
  double limit_shown = 0.0;  ///< the same in our unit, for messages
  std::string unit_shown;
  bool may_hold_text = false;  ///< text counts as a missing cell instead of ending the reading
};

/// How to read the rows of one file.
struct RowPlan {
  char separator = ',';
  char decimal_point = '.';
  std::string header_line;
  std::vector<std::string> column_names;
  std::vector<int> slot_of_column;  ///< -1: not read
  std::vector<LogSlot> slots;
  std::size_t data_offset = 0;
  std::size_t first_line_number = 1;  ///< of the first line after the header

  /// Of pieces that together hold all bytes after the header.
  std::size_t block_count(std::size_t file_size) const {
    return (file_size - data_offset + kBlockBytes - 1) / kBlockBytes;
  }
};

/// A plan that reads no column yet.
RowPlan plan_rows(CsvPreamble preamble);

/// Why a row cannot be read, in terms of the block it stands in.
struct RowFault {
  enum class Kind { not_a_number, infinite, too_large, too_many_cells, open_quote, line_too_long };
  Kind kind = Kind::not_a_number;
  std::size_t line = 0;  ///< counted from 0 in the block
  std::size_t column = 0;
  std::string found;
};

/// The rows that begin in one piece of the file.
struct LogBlock {
  std::vector<std::vector<double>> values;  ///< by slot, then row; NaN: missing
  std::vector<std::uint32_t> line_of_row;   ///< counted from 0 in the block
  std::vector<std::size_t> missing_of_slot;
  std::size_t rows = 0;
  std::size_t lines = 0;
  std::size_t short_rows = 0;
  std::size_t repeated_headers = 0;
  std::optional<RowFault> fault;  ///< the first; rows before it are complete
  std::optional<Error> read_error;
  std::vector<RunningStatistics> statistics;  ///< by slot; filled by log_statistics only
  std::vector<char> bytes;

  std::size_t capacity() const { return line_of_row.size(); }
};

/// Reads and parses piece `index`. `block` may have been used before. Touches nothing else.
void read_log_block(const ByteSource& source, const RowPlan& plan, std::size_t index,
                    LogBlock& block);

/// The fault as an Error; `lines_before` counts the lines of all blocks before.
Error to_error(const RowFault& fault, const RowPlan& plan, const std::string& file_name,
               std::size_t lines_before);

}  // namespace qn
