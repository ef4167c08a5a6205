// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "acquire/decoder.h"
#include "vocab/result.h"

namespace qn {

/// Lines of numbers with ',' ';' tab or blanks between, in columns named as in sensor-log.md: by a
/// header line wherever it comes, or by position. Decimal commas are understood beside other
/// separators.
///
/// columns     the names by position, with commas between, "-" for a column to leave out; empty:
///             wait for a header line
/// column_map  NAME=COLUMN each, for header lines and for `columns`
/// errors      OutOfRange: a name in `columns` is not known, or no entry of column_map is
/// NAME=COLUMN
Result<std::unique_ptr<LineReader>> delimited_line_reader(
    const std::string& columns, const std::vector<std::string>& column_map);

}  // namespace qn
