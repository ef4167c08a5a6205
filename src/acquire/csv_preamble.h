// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "acquire/byte_source.h"
#include "vocab/result.h"

namespace qn {

/// Longer lines are refused: they are no CSV, and memory must stay bounded.
inline constexpr std::size_t kLongestLine = 64 * 1024;
inline constexpr std::size_t kMostColumns = 1000;

/// What the start of a CSV file tells about the rest.
struct CsvPreamble {
  char separator = ',';      ///< ',' ';' or tab
  char decimal_point = '.';  ///< ',' only beside the separator ';'
  std::string header_line;   ///< as it stands in the file, without line end
  std::vector<std::string> header;
  std::size_t header_line_number = 0;  ///< counted from 1
  std::size_t data_offset = 0;         ///< of the first byte after the header line
};

/// What a file of this kind begins with, for messages.
struct CsvExample {
  std::string_view header = "time_s,field_x_uT,field_y_uT,field_z_uT";
  std::string_view row = "sample";  ///< what one row is of
  std::string_view more = " (field_x_raw and so on for counts)";
  std::string_view made_again = "record again";
};

/// Finds the header row, after a byte order mark, empty lines, `#` comments and a `sep=` line.
///
/// errors  BadInput: empty, header missing (only numbers), not text, UTF-16, lines too long, old
///         line ends (CR alone), an open quote
Result<CsvPreamble> read_preamble(const ByteSource& source, const CsvExample& example = {});

/// The most frequent of ; tab and comma outside quotes and brackets.
char guess_separator(std::string_view header_line);

}  // namespace qn
