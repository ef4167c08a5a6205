// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace qn {

/// The cells of one line by RFC 4180: quotes around a cell, doubled quotes inside. Cells outside
/// quotes lose spaces and tabs at both ends. `line` has no line end.
///
/// storage  keeps texts that had doubled quotes; must live as long as the cells
/// returns  false when a quote is left open (cells then hold what was found)
bool split_csv_line(std::string_view line, char separator, std::vector<std::string_view>& cells,
                    std::vector<std::string>& storage);

std::string_view trim(std::string_view text);

/// A cell as it may stand in a message: short, and without control characters.
std::string show_cell(std::string_view text);

/// Empty, or one of the words that recorders write when they have no number.
bool is_missing(std::string_view cell);

}  // namespace qn
