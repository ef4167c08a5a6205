// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "acquire/csv_table.h"
#include "vocab/result.h"

namespace qn {

/// A unit a column may be in; the first of a list is our own.
struct CsvUnit {
  std::string_view name;  ///< as it stands behind the '_', lower case
  std::string_view ours;  ///< as we write it
  double of_ours = 1.0;   ///< how many of our own unit it is
};
inline const std::vector<CsvUnit> kTimeUnits = {{"s", "s", 1.0}, {"min", "min", 60.0}};
inline const std::vector<CsvUnit> kCurrentUnits = {{"a", "A", 1.0}, {"ma", "mA", 0.001}};

struct QuantityColumn {
  std::size_t column = 0;
  double of_ours = 1.0;
};

/// The column `base`_unit in one of the units; nothing when there is none.
/// errors  BadInput naming the file: two such columns, a unit that is missing or another
Result<std::optional<QuantityColumn>> find_quantity(const CsvTable& table, const std::string& base,
                                                    const std::vector<CsvUnit>& units);

/// The cell in our own unit; nothing when it is empty or there is no such column.
/// errors  BadInput naming line and column
Result<std::optional<double>> quantity_at(const CsvTable& table, std::size_t row,
                                          const std::optional<QuantityColumn>& column);

}  // namespace qn
