// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// What a column of a sensor log can hold.
enum class LogQuantity {
  time,
  field_x,
  field_y,
  field_z,
  roll,
  pitch,
  accel_x,
  accel_y,
  accel_z,
  heading,
  current,
  temperature,
};
inline constexpr std::size_t kLogQuantities = 12;

/// value in our unit = value in the file * multiply / divide + add. Division is kept apart because
/// nT / 1000 is rounded once, nT * 0.001 twice.
struct UnitScale {
  double multiply = 1.0;
  double divide = 1.0;
  double add = 0.0;
  double apply(double value) const { return value * multiply / divide + add; }
};

struct LogColumn {
  std::size_t column = 0;  ///< counted from 0
  UnitScale scale;
  bool counts = false;  ///< raw counts of the sensor
};

struct LogColumns {
  std::array<std::optional<LogColumn>, kLogQuantities> of;  ///< by LogQuantity
  FieldUnit unit = FieldUnit::microtesla;
  std::vector<std::string> remarks;
  bool heading_alone = false;  ///< no field: what a display showed

  const std::optional<LogColumn>& operator[](LogQuantity q) const {
    return of[static_cast<std::size_t>(q)];
  }
};

/// What a log has to hold beside the time.
enum class LogNeeds {
  field,
  field_or_heading,  ///< a display's heading will do where there is no field at all
};

/// Finds the columns of a sensor log in a header row: names like field_x_uT or
/// "Magnetic Field x (µT)", any of the known units, and the user's own names.
///
/// column_map  NAME=COLUMN each, e.g. field_x_uT=Magnetic Field x (µT)
/// where       file and line, for errors
/// errors      OutOfRange: an entry of column_map is wrong by itself. BadInput: time or field
///             missing, a unit missing or unknown, two columns for one quantity
Result<LogColumns> find_log_columns(const std::vector<std::string>& header,
                                    const std::vector<std::string>& column_map,
                                    const std::string& where, LogNeeds needs = LogNeeds::field);

/// errors  OutOfRange: this entry of a column_map names none of our columns, or no column at all
std::optional<Error> check_map_entry(const std::string& entry);

/// The same for a live link: the time may be missing, and so may the field, as long as one other
/// quantity has a column.
Result<LogColumns> find_link_columns(const std::vector<std::string>& header,
                                     const std::vector<std::string>& column_map,
                                     const std::string& where);

/// Lower case, words joined by '_', µ as u, degree sign as deg, superscript two as 2.
std::string normal_name(std::string_view name);

/// For other CSV files: the unit of a column called `base` ("" when it has none), from a suffix
/// (roll_rad) or a bracket ("Roll (rad)"); nothing when the column is called otherwise.
std::optional<std::string> unit_of_column(std::string_view header, std::string_view base);

}  // namespace qn
