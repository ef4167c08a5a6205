// SPDX-License-Identifier: Apache-2.0
#include "app/csv_row.h"

#include "vocab/text_parts.h"

namespace qn {
namespace {

bool needs_quotes(const std::string& cell) {
  if (cell.empty()) return false;
  if (cell.find_first_of(",;\t\"\r\n") != std::string::npos) return true;
  return cell.front() == '#' || cell.front() == ' ' || cell.back() == ' ';
}

}  // namespace

std::string csv_row(const std::vector<std::string>& cells) {
  std::string row;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) row += ',';
    if (!needs_quotes(cells[i])) {
      row += cells[i];
      continue;
    }
    row += '"';
    for (const char c : cells[i]) {
      if (c == '"') row += '"';
      row += c;
    }
    row += '"';
  }
  return row + "\n";
}

std::string without_outer_spaces(const std::string& cell) { return std::string{trimmed(cell)}; }

}  // namespace qn
