// SPDX-License-Identifier: Apache-2.0
#include "app/csv_quantity.h"

#include <fmt/format.h>

#include <algorithm>

#include "acquire/column_names.h"
#include "vocab/letters.h"

namespace qn {
namespace {

std::string spellings(const std::string& base, const std::vector<CsvUnit>& units) {
  std::string text;
  for (const CsvUnit& unit : units) {
    text += fmt::format("{}{}_{}", text.empty() ? "" : " or ", base, unit.ours);
  }
  return text;
}

}  // namespace

Result<std::optional<QuantityColumn>> find_quantity(const CsvTable& table, const std::string& base,
                                                    const std::vector<CsvUnit>& units) {
  std::optional<QuantityColumn> found;
  std::optional<std::size_t> other_unit;  // harmless beside a good column, such as time_of_day
  for (std::size_t i = 0; i < table.header().size(); ++i) {
    const auto unit_text = unit_of_column(table.header()[i], base);
    if (!unit_text) continue;
    const auto unit = std::find_if(units.begin(), units.end(), [&](const CsvUnit& known) {
      return lower_case(*unit_text) == known.name;
    });
    if (unit == units.end()) {
      other_unit = i;
    } else if (found) {
      return Error{ErrorKind::BadInput,
                   fmt::format("the columns '{}' and '{}' hold the same quantity",
                               table.header()[found->column], table.header()[i]),
                   table.name(), "one column " + spellings(base, units), "remove one of them"};
    } else {
      found = QuantityColumn{i, unit->of_ours};
    }
  }
  if (!found && other_unit) {
    return Error{ErrorKind::BadInput,
                 fmt::format("the column '{}' does not say a unit that is known",
                             table.header()[*other_unit]),
                 table.name(), spellings(base, units), "rename the column"};
  }
  return found;
}

Result<std::optional<double>> quantity_at(const CsvTable& table, std::size_t row,
                                          const std::optional<QuantityColumn>& column) {
  if (!column) return std::optional<double>{};
  auto number = table.number(row, column->column);
  if (!number || !number.value()) return number;
  return std::optional<double>{*number.value() * column->of_ours};
}

}  // namespace qn
