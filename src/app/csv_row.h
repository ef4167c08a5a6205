// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace qn {

/// One line of a CSV file by RFC 4180, ended by "\n". Quoted is what any of our dialects could take
/// for something else: separators, quotes, line ends, spaces at an end, a '#' at the start.
std::string csv_row(const std::vector<std::string>& cells);

/// Without spaces and tabs at both ends, which quotes keep.
std::string without_outer_spaces(const std::string& cell);

}  // namespace qn
