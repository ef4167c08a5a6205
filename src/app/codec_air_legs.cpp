// SPDX-License-Identifier: Apache-2.0
#include "app/codec_air_legs.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "acquire/byte_source.h"
#include "app/csv_quantity.h"
#include "app/csv_row.h"
#include "app/flight_nmea_internal.h"
#include "app/read_text_file.h"
#include "vocab/heading.h"

namespace qn {
namespace {

const std::vector<CsvUnit> kHeadingUnits = {
    {"deg", "deg", 1.0}, {"degrees", "deg", 1.0}, {"rad", "rad", 180.0 / std::numbers::pi}};
// 1 kt is 1852 m an hour.
const std::vector<CsvUnit> kSpeedUnits = {{"kt", "kt", 1.0},
                                          {"kts", "kt", 1.0},
                                          {"knots", "kt", 1.0},
                                          {"kmh", "kmh", 1.0 / 1.852},
                                          {"mps", "mps", 3600.0 / 1852.0}};

using AirColumn = std::optional<QuantityColumn>;

struct AirColumns {
  AirColumn indicated, track, speed, tas, time, roll;
  std::optional<std::size_t> leg;
};

Result<AirColumn> first_of(const CsvTable& table, const std::vector<std::string>& names,
                           const std::vector<CsvUnit>& units) {
  for (const std::string& name : names) {
    const auto found = find_quantity(table, name, units);
    if (!found || found.value()) return found;
  }
  return AirColumn{};
}

Result<AirColumns> air_columns(const CsvTable& table) {
  AirColumns out;
  const struct {
    std::vector<std::string> names;
    const std::vector<CsvUnit>& units;
    AirColumn* to;
  } wanted[] = {{{"indicated", "heading"}, kHeadingUnits, &out.indicated},
                {{"track"}, kHeadingUnits, &out.track},
                {{"groundspeed", "speed"}, kSpeedUnits, &out.speed},
                {{"tas"}, kSpeedUnits, &out.tas},
                {{"time"}, kTimeUnits, &out.time},
                {{"roll"}, kHeadingUnits, &out.roll}};
  for (const auto& w : wanted) {
    const auto found = first_of(table, w.names, w.units);
    if (!found) return found.error();
    *w.to = found.value();
  }
  out.leg = table.find("leg");
  const char* missing = nullptr;
  if (!out.speed) missing = "no column is called groundspeed_kt";
  if (!out.indicated && !out.track) missing = "neither indicated_deg nor track_deg is a column";
  if (missing == nullptr) return out;
  return Error{ErrorKind::BadInput, missing, table.name(),
               "columns indicated_deg, track_deg and groundspeed_kt",
               "name the columns as in docs/formats/air-legs.md"};
}

Result<std::optional<double>> direction_at(const CsvTable& table, std::size_t row,
                                           const AirColumn& column) {
  const auto number = quantity_at(table, row, column);
  if (!number || !number.value()) return number;
  const double deg = *number.value();
  if (deg >= 0.0 && deg <= 360.0) return std::optional<double>{wrap_360_deg(deg)};
  return Error{ErrorKind::BadInput, fmt::format("direction {:.10g} degrees", deg),
               table.place(row, column->column), "0 to 360 degrees", "correct the cell"};
}

Result<std::optional<double>> speed_at(const CsvTable& table, std::size_t row,
                                       const AirColumn& column, double least) {
  const auto number = quantity_at(table, row, column);
  if (!number || !number.value()) return number;
  if (*number.value() >= least && *number.value() < 2000.0) return number;
  return Error{ErrorKind::BadInput, fmt::format("speed {:.10g} kt", *number.value()),
               table.place(row, column->column),
               least > 0.0 ? "knots, more than 0 and less than 2000" : "knots, 0 to 2000",
               "correct the cell"};
}

struct AirCells {
  std::optional<double> indicated, track, speed, tas, time, roll;
};

Result<AirCells> cells_at(const CsvTable& table, std::size_t row, const AirColumns& columns,
                          bool by_hand) {
  AirCells out;
  const auto indicated = direction_at(table, row, columns.indicated);
  if (!indicated) return indicated.error();
  const auto track = direction_at(table, row, columns.track);
  if (!track) return track.error();
  const auto speed = speed_at(table, row, columns.speed, by_hand ? 1e-9 : 0.0);
  if (!speed) return speed.error();
  const auto tas = speed_at(table, row, columns.tas, by_hand ? 1e-9 : 0.0);
  if (!tas) return tas.error();
  const auto time = quantity_at(table, row, columns.time);
  if (!time) return time.error();
  const auto roll = quantity_at(table, row, columns.roll);
  if (!roll) return roll.error();
  return AirCells{indicated.value(), track.value(), speed.value(),
                  tas.value(),       time.value(),  roll.value()};
}

Result<AirFile> legs_of(const CsvTable& table, const AirColumns& columns) {
  AirFile out;
  for (std::size_t row = 0; row < table.rows().size(); ++row) {
    const auto cells = cells_at(table, row, columns, true);
    if (!cells) return cells.error();
    const AirCells& c = cells.value();
    if (!c.speed) {
      return Error{ErrorKind::BadInput, "the ground speed is missing",
                   table.place(row, columns.speed->column), "knots",
                   "fill in the cell, or put '#' before the line to leave it out"};
    }
    AirLeg leg;
    if (columns.leg) leg.name = without_outer_spaces(table.text(row, *columns.leg));
    leg.indicated_deg = c.indicated;
    leg.track_deg = c.track;
    leg.groundspeed_kt = *c.speed;
    leg.tas_kt = c.tas;
    if (c.time) leg.from_s = leg.to_s = *c.time;
    out.legs.push_back(std::move(leg));
  }
  if (out.legs.empty()) {
    return Error{ErrorKind::BadInput, "the file has no legs: nothing stands below the header",
                 table.name(),
                 "leg,indicated_deg,track_deg,groundspeed_kt and one row for each leg",
                 "write the legs below the header"};
  }
  out.how_read.push_back(fmt::format("{} legs by hand.", out.legs.size()));
  return out;
}

Result<AirFile> log_of(const CsvTable& table, const AirColumns& columns) {
  constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();
  AirFile out;
  out.is_log = true;
  double first = 0.0;
  double last = -std::numeric_limits<double>::infinity();
  for (std::size_t row = 0; row < table.rows().size(); ++row) {
    const auto cells = cells_at(table, row, columns, false);
    if (!cells) return cells.error();
    const AirCells& c = cells.value();
    if (!c.time) continue;  // a row without time has no place
    if (*c.time < last) {
      return Error{ErrorKind::BadInput, fmt::format("the time goes back to {:.10g} s", *c.time),
                   table.place(row, columns.time->column), "times that never fall",
                   "sort the rows, or cut the file where two recordings meet"};
    }
    if (out.log.size() == 0) first = *c.time;
    last = *c.time;
    out.log.add(last - first, c.indicated.value_or(kNothing), c.track.value_or(kNothing),
                c.speed.value_or(kNothing), c.roll.value_or(kNothing), c.tas.value_or(kNothing));
  }
  if (out.log.size() == 0) {
    return Error{ErrorKind::BadInput, "there is no row with a time in the file", table.name(),
                 "one row a second or so", "record again"};
  }
  out.how_read.push_back(
      fmt::format("Flight log of {} rows over {:.0f} s.", out.log.size(), last - first));
  return out;
}

Result<AirFile> air_of_table(const Result<CsvTable>& table) {
  if (!table) return table.error();
  const auto columns = air_columns(table.value());
  if (!columns) return columns.error();
  const bool log = columns.value().time && !columns.value().leg;
  if (log && (!columns.value().indicated || !columns.value().track)) {
    return Error{ErrorKind::BadInput,
                 columns.value().track ? "no column is called indicated_deg"
                                       : "no column is called track_deg",
                 table.value().name(),
                 "indicated_deg, track_deg and groundspeed_kt in a flight log",
                 "add the column; legs by hand have a column leg"};
  }
  return log ? log_of(table.value(), columns.value()) : legs_of(table.value(), columns.value());
}

// Nothing but comments and empty lines.
bool holds_nothing(const std::string& bytes) {
  std::size_t from = bytes.rfind("\xEF\xBB\xBF", 0) == 0 ? 3 : 0;
  while (from < bytes.size()) {
    const std::size_t first = bytes.find_first_not_of(" \t\r\n", from);
    if (first == std::string::npos) return true;
    if (bytes[first] != '#') return false;
    const std::size_t end = bytes.find('\n', first);
    if (end == std::string::npos) return true;
    from = end + 1;
  }
  return true;
}

}  // namespace

Result<AirFile> parse_air_file(const std::string& bytes, const std::string& name) {
  if (holds_nothing(bytes)) {
    return Error{ErrorKind::BadInput, "the file has no legs: it is empty", name,
                 "a header leg,indicated_deg,track_deg,groundspeed_kt and one row for each leg; of "
                 "a recording time_s in the place of leg; or NMEA 0183 sentences",
                 "write the legs down, or give the right file"};
  }
  if (looks_like_nmea(bytes)) return flight_of_nmea(bytes, name);
  return air_of_table(parse_csv_table(*memory_source(bytes, name)));
}

Result<AirFile> read_air_file(const std::string& path, const std::string& shown_name) {
  const auto bytes = read_text_file(path);
  if (!bytes) return bytes.error();
  return parse_air_file(bytes.value(), shown_name);
}

}  // namespace qn
