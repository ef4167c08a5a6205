// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "acquire/byte_source.h"
#include "acquire/csv_preamble.h"
#include "vocab/result.h"

namespace qn {

/// Of a table of which nothing is known but that it is one.
inline constexpr CsvExample kAnyTable{"the names of its columns", "entry", "", "write it again"};

struct CsvRow {
  std::size_t line = 0;            ///< where the row begins in the file, counted from 1
  std::vector<std::string> cells;  ///< as many as the header has
};

/// A small CSV file in memory: stations, marks, equipment and the like. RFC 4180 with line breaks
/// inside quotes; comments, BOM, CRLF, ';' with decimal commas and tabs as in docs/formats.
class CsvTable {
 public:
  const std::string& name() const { return name_; }
  const std::vector<std::string>& header() const { return header_; }
  const std::vector<CsvRow>& rows() const { return rows_; }

  /// The column of that name in any capitals, nothing when there is none.
  std::optional<std::size_t> find(std::string_view column) const;
  const std::string& text(std::size_t row, std::size_t column) const {
    return rows_[row].cells[column];
  }
  /// The cell as a finite number; nothing when it is empty or NaN.
  /// errors  BadInput naming line and column
  Result<std::optional<double>> number(std::size_t row, std::size_t column) const;

  /// "stations.csv, line 9" and "stations.csv, line 9, column 1 (station_deg)".
  std::string place(std::size_t row) const;
  std::string place(std::size_t row, std::size_t column) const;

 private:
  friend Result<CsvTable> parse_csv_table(const ByteSource& source, const CsvExample& example);
  std::string name_;
  char separator_ = ',';
  std::vector<std::string> header_;
  std::vector<CsvRow> rows_;
};

/// example  what such a table begins with, for messages
/// errors  BadInput: as read_preamble; rows with more cells than the header, a quote left open,
///         control characters, a file beyond 16 MiB. Short rows are filled with empty cells.
Result<CsvTable> parse_csv_table(const ByteSource& source, const CsvExample& example = kAnyTable);
Result<CsvTable> read_csv_table(const std::string& path, const std::string& shown_name = "",
                                const CsvExample& example = kAnyTable);

}  // namespace qn
