// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "acquire/column_names.h"

namespace qn {

inline constexpr std::array<LogQuantity, 3> kFieldAxes = {
    LogQuantity::field_x, LogQuantity::field_y, LogQuantity::field_z};
inline constexpr std::array<LogQuantity, 3> kAccelAxes = {
    LogQuantity::accel_x, LogQuantity::accel_y, LogQuantity::accel_z};

struct ColumnAlias {
  std::string_view name;  ///< in normal form, without unit
  LogQuantity quantity;
};
const std::vector<ColumnAlias>& column_aliases();

/// How to read a column of that unit (normal form); nothing when the unit does not belong to it.
std::optional<LogColumn> column_of_unit(LogQuantity quantity, std::string_view unit);

/// For messages: the units a quantity may have, and its name in our own files.
std::string_view known_units(LogQuantity quantity);
std::string_view canonical_name(LogQuantity quantity);

/// Without time and field there is no recording.
bool is_required(LogQuantity quantity);

/// Whether the end of a name, in normal form, is a unit of anything.
bool is_unit_word(std::string_view word);

/// Values of larger size cannot be meant, in our unit.
double largest_value(LogQuantity quantity, bool counts);

}  // namespace qn
