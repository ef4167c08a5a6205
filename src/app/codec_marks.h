// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "vocab/mark.h"
#include "vocab/result.h"

namespace qn {

/// Reads a marks file (docs/formats/marks.md): when which device was put into which state. Order
/// and equal rows stay as they are in the file; what they mean is judged by the analysis, which
/// knows the recording and the equipment.
///
/// errors  BadInput naming line and column: no column time_s, device or state, an empty cell in one
///         of them, a time that is no number, no rows
Result<std::vector<Mark>> read_marks(const std::string& path, const std::string& shown_name = "");

/// The same from bytes at hand; `name` is used in messages.
Result<std::vector<Mark>> parse_marks(const std::string& bytes, const std::string& name);

/// The marks as such a file, in the order given.
std::string marks_csv(const std::vector<Mark>& marks);

}  // namespace qn
