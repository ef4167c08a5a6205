// SPDX-License-Identifier: Apache-2.0
#include "app/codec_stations.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <memory>
#include <numbers>
#include <optional>

#include "acquire/byte_source.h"
#include "acquire/column_names.h"
#include "acquire/csv_table.h"

namespace qn {
namespace {

struct AngleColumn {
  std::size_t column = 0;
  double deg_per_unit = 1.0;
};

/// The column `base`_deg, or with another unit of angle; nothing when there is none.
Result<std::optional<AngleColumn>> find_angle(const CsvTable& table, const std::string& base) {
  std::optional<AngleColumn> found;
  for (std::size_t i = 0; i < table.header().size(); ++i) {
    const auto unit = unit_of_column(table.header()[i], base);
    if (!unit) continue;
    if (found) {
      return Error{ErrorKind::BadInput,
                   fmt::format("the columns '{}' and '{}' hold the same quantity",
                               table.header()[found->column], table.header()[i]),
                   table.name(), "one column " + base + "_deg", "remove one of them"};
    }
    if (*unit == "deg" || *unit == "degrees") {
      found = AngleColumn{i, 1.0};
    } else if (*unit == "rad") {
      found = AngleColumn{i, 180.0 / std::numbers::pi};
    } else {
      return Error{ErrorKind::BadInput,
                   fmt::format("the column '{}' does not say a unit of angle", table.header()[i]),
                   table.name(), fmt::format("{0}_deg or {0}_rad", base), "rename the column"};
    }
  }
  return found;
}

std::string shown(double value) { return fmt::format("{:.10g}", value); }

Result<double> heading_at(const CsvTable& table, std::size_t row, AngleColumn column) {
  const auto number = table.number(row, column.column);
  if (!number) return number.error();
  if (!number.value()) {
    return Error{ErrorKind::BadInput, "the heading is missing", table.place(row, column.column),
                 "the heading of the station, 0 to below 360",
                 "fill in the heading, or put '#' before the line to leave it out"};
  }
  const double heading = *number.value() * column.deg_per_unit;
  if (heading >= 0.0 && heading < 360.0) return heading;
  return Error{ErrorKind::BadInput,
               "heading " + shown(heading) + ". A heading is " +
                   (heading < 0.0 ? "not negative" : "below 360"),
               table.place(row, column.column), "a heading from 0 to below 360 degrees",
               heading == 360.0 ? "write 0 for north" : "correct the heading in the file"};
}

/// NaN when the column or the number is not there.
Result<double> tilt_at(const CsvTable& table, std::size_t row,
                       const std::optional<AngleColumn>& column, const char* name) {
  if (!column) return std::numeric_limits<double>::quiet_NaN();
  const auto number = table.number(row, column->column);
  if (!number) return number.error();
  if (!number.value()) return std::numeric_limits<double>::quiet_NaN();
  const double tilt = *number.value() * column->deg_per_unit;
  if (std::fabs(tilt) <= 90.0) return tilt;
  return Error{ErrorKind::BadInput, fmt::format("{} {} degrees", name, shown(tilt)),
               table.place(row, column->column), "an angle between -90 and 90 degrees",
               "correct or empty the cell"};
}

Result<std::vector<Station>> stations_of(const CsvTable& table) {
  const auto heading = find_angle(table, "station");
  if (!heading) return heading.error();
  if (!heading.value()) {
    return Error{ErrorKind::BadInput, "no column is called station_deg", table.name(),
                 "a column station_deg with the heading of each stop, in the order visited",
                 "name the column of headings station_deg (docs/formats/stations.md)"};
  }
  const auto roll = find_angle(table, "roll");
  if (!roll) return roll.error();
  const auto pitch = find_angle(table, "pitch");
  if (!pitch) return pitch.error();
  std::vector<Station> stations;
  for (std::size_t row = 0; row < table.rows().size(); ++row) {
    const auto station_deg = heading_at(table, row, *heading.value());
    if (!station_deg) return station_deg.error();
    const auto roll_deg = tilt_at(table, row, roll.value(), "roll");
    if (!roll_deg) return roll_deg.error();
    const auto pitch_deg = tilt_at(table, row, pitch.value(), "pitch");
    if (!pitch_deg) return pitch_deg.error();
    stations.push_back({station_deg.value(), roll_deg.value(), pitch_deg.value()});
  }
  if (stations.empty()) {
    return Error{ErrorKind::BadInput, "there is a header but no station", table.name(),
                 "one row for each stop of the aircraft", "write the headings below the header"};
  }
  return stations;
}

}  // namespace

Result<std::vector<Station>> read_stations(const std::string& path, const std::string& shown_name) {
  const auto table = read_csv_table(path, shown_name);
  if (!table) return table.error();
  return stations_of(table.value());
}

Result<std::vector<Station>> parse_stations(const std::string& bytes, const std::string& name) {
  const auto table = parse_csv_table(*memory_source(bytes, name));
  if (!table) return table.error();
  return stations_of(table.value());
}

}  // namespace qn
