// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "acquire/log_block_internal.h"

namespace qn {

Error to_error(const RowFault& fault, const RowPlan& plan, const std::string& file_name,
               std::size_t lines_before) {
  const std::string line =
      fmt::format("{}, line {}", file_name, plan.first_line_number + lines_before + fault.line);
  const bool in_column = fault.column < plan.column_names.size();
  const std::string cell = in_column ? fmt::format("{}, column {} ({})", line, fault.column + 1,
                                                   plan.column_names[fault.column])
                                     : line;
  using Kind = RowFault::Kind;
  switch (fault.kind) {
    case Kind::not_a_number:
      return {ErrorKind::BadInput, fmt::format("{} is not a number", fault.found), cell,
              plan.separator == ';' ? "a number such as -12.5 or -12,5, or an empty cell"
                                    : "a number such as -12.5, or an empty cell",
              "correct the cell, empty it, or put '#' before the line to leave it out"};
    case Kind::infinite:
      return {ErrorKind::BadInput, fmt::format("{} is not a finite number", fault.found), cell,
              "a number such as -12.5, or an empty cell",
              "find out why the sensor or recorder wrote it; empty the cell to leave the row out"};
    case Kind::too_large: {
      const LogSlot& slot = plan.slots[static_cast<std::size_t>(plan.slot_of_column[fault.column])];
      return {ErrorKind::BadInput, fmt::format("{} is far beyond anything measured", fault.found),
              cell, fmt::format("a value of at most {:g} {}", slot.limit_shown, slot.unit_shown),
              "check the unit in the column's name; correct or empty the cell"};
    }
    case Kind::too_many_cells:
      return {ErrorKind::BadInput,
              fmt::format("the row has {} cells, the header has {}", fault.found,
                          plan.column_names.size()),
              line, "as many cells as the header has columns",
              plan.separator == ','
                  ? "if the numbers have decimal commas, separate the columns by ';'; otherwise "
                    "correct the row"
                  : "correct the row, or put '#' before the line to leave it out"};
    case Kind::open_quote:
      return {ErrorKind::BadInput,
              fmt::format("a quote is not closed properly near {}", fault.found), cell,
              "quotes around a whole cell, closed on the same line (RFC 4180)",
              "correct the quotes; a sensor log has no line breaks inside cells"};
    case Kind::line_too_long:
      return {
          ErrorKind::BadInput,
          fmt::format("the line is longer than {} bytes and begins {}", kLongestLine, fault.found),
          line, "one sample per line", "check that this is the recording and not damaged"};
  }
  return {ErrorKind::BadInput, "the row cannot be read", line, "a row of numbers",
          "correct the row"};
}

}  // namespace qn
