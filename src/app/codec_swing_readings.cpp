// SPDX-License-Identifier: Apache-2.0
#include "app/codec_swing_readings.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <memory>
#include <numbers>
#include <set>

#include "acquire/byte_source.h"
#include "app/csv_quantity.h"
#include "app/csv_row.h"
#include "procedure/swing_loads.h"
#include "vocab/heading.h"
#include "vocab/letters.h"

namespace qn {
namespace {

const std::vector<CsvUnit> kAngleUnits = {
    {"deg", "deg", 1.0}, {"degrees", "deg", 1.0}, {"rad", "rad", 180.0 / std::numbers::pi}};

constexpr CsvExample kSwingExample{"station_deg,indicated_deg,compass,turn,loads",
                                   "reading of a compass", "", "write it again"};

using Column = std::optional<QuantityColumn>;

struct Columns {
  Column station, indicated, deviation, roll, pitch, repeat, set, own_sigma;
  std::optional<std::size_t> compass, turn, loads, adjuster;
};

Error no_column(const CsvTable& table, const char* what, const char* expected) {
  return Error{ErrorKind::BadInput, what, table.name(), expected,
               "name the columns as in docs/formats/stations.md"};
}

Result<Columns> columns_of(const CsvTable& table, const SwingFileOptions& options) {
  Columns out;
  const std::pair<const char*, Column*> wanted[] = {{"station", &out.station},
                                                    {"indicated", &out.indicated},
                                                    {"deviation", &out.deviation},
                                                    {"roll", &out.roll},
                                                    {"pitch", &out.pitch},
                                                    {"set", &out.set},
                                                    {"reading_sigma", &out.own_sigma}};
  for (const auto& [name, column] : wanted) {
    const auto found = find_quantity(table, name, kAngleUnits);
    if (!found) return found.error();
    *column = found.value();
  }
  out.compass = table.find("compass");
  out.turn = table.find("turn");
  out.loads = table.find("loads");
  out.adjuster = table.find("adjuster");
  if (const auto repeat = table.find("repeat")) out.repeat = QuantityColumn{*repeat, 1.0};
  if (out.station && out.indicated) {
    out.deviation.reset();  // both are there: a third column could only contradict them
    return out;
  }
  if (!out.station && !out.indicated) {
    return no_column(table, "no column is called station_deg",
                     "a column station_deg with the aircraft's heading on each mark, and "
                     "indicated_deg with what the compass showed there");
  }
  if (!out.deviation) {
    return no_column(
        table,
        out.station ? "no column is called indicated_deg" : "no column is called station_deg",
        "station_deg and indicated_deg, or one of them with deviation_deg");
  }
  if (!options.deviation_sign) {
    return Error{ErrorKind::OutOfRange,
                 "the file gives deviations, and two signs are in use for them",
                 "option --deviation-is",
                 "to-add (magnetic minus indicated, east positive) or reading-minus-truth",
                 "look at the form's heading, then say --deviation-is"};
  }
  return out;
}

// A heading as people write it: north may be 0 or, on a compass, 360.
Result<std::optional<double>> heading_at(const CsvTable& table, std::size_t row,
                                         const Column& column) {
  const auto number = quantity_at(table, row, column);
  if (!number || !number.value()) return number;
  const double deg = *number.value();
  if (deg >= 0.0 && deg <= 360.0) return std::optional<double>{wrap_360_deg(deg)};
  return Error{ErrorKind::BadInput,
               fmt::format("heading {:.10g}. A heading is {}", deg,
                           deg < 0.0 ? "not negative" : "not above 360"),
               table.place(row, column->column), "a heading from 0 to 360 degrees",
               "correct the heading in the file"};
}

Result<double> tilt_at(const CsvTable& table, std::size_t row, const Column& column) {
  const auto number = quantity_at(table, row, column);
  if (!number) return number.error();
  if (!number.value()) return std::numeric_limits<double>::quiet_NaN();
  if (std::fabs(*number.value()) <= 90.0) return *number.value();
  return Error{ErrorKind::BadInput, fmt::format("{:.10g} degrees of tilt", *number.value()),
               table.place(row, column->column), "an angle between -90 and 90 degrees",
               "correct or empty the cell"};
}

std::string word_at(const CsvTable& table, std::size_t row,
                    const std::optional<std::size_t>& column) {
  return column ? without_outer_spaces(table.text(row, *column)) : std::string{};
}

Result<double> own_sigma_at(const CsvTable& table, std::size_t row, const Column& column) {
  const auto number = quantity_at(table, row, column);
  if (!number) return number.error();
  if (!number.value()) return std::numeric_limits<double>::quiet_NaN();
  if (*number.value() > 0.0 && *number.value() <= 30.0) return *number.value();
  return Error{ErrorKind::BadInput, fmt::format("a sigma of {:.10g} degrees", *number.value()),
               table.place(row, column->column), "degrees, more than 0 and at most 30",
               "correct the cell, or empty it: what is assumed for all readings is used then"};
}

Result<SwingTurn> turn_at(const CsvTable& table, std::size_t row, const Columns& columns) {
  const std::string word = lower_case(word_at(table, row, columns.turn));
  if (word.empty()) return SwingTurn::unknown;
  if (word == "cw" || word == "right") return SwingTurn::clockwise;
  if (word == "ccw" || word == "left") return SwingTurn::counterclockwise;
  return Error{ErrorKind::BadInput, fmt::format("'{}' is no direction of turn", word),
               table.place(row, *columns.turn), "cw (to the right), ccw (to the left) or nothing",
               "correct the cell"};
}

Result<std::string> loads_at(const CsvTable& table, std::size_t row, const Columns& columns) {
  const std::string word = word_at(table, row, columns.loads);
  if (word.empty()) return word;
  auto state = loads_state(word);
  if (state) return state;
  return Error{ErrorKind::BadInput, fmt::format("'{}' is no state of the loads", word),
               table.place(row, *columns.loads), state.error().expected, "correct the cell"};
}

Result<char> adjuster_at(const CsvTable& table, std::size_t row, const Columns& columns) {
  const std::string word = lower_case(word_at(table, row, columns.adjuster));
  if (word.empty()) return '\0';
  if (word == "a" || word == "b" || word == "c") return static_cast<char>(word[0] - 'a' + 'A');
  return Error{ErrorKind::BadInput, fmt::format("'{}' is no adjuster", word),
               table.place(row, *columns.adjuster),
               "B (the E-W screw), C (the N-S screw), A (the mount turned) or nothing",
               "correct the cell"};
}

struct Headings {
  double station_deg, indicated_deg;
};

/// Nothing when the reading is empty.
Result<std::optional<Headings>> headings_at(const CsvTable& table, std::size_t row,
                                            const Columns& columns,
                                            const SwingFileOptions& options) {
  const auto station = heading_at(table, row, columns.station);
  if (!station) return station.error();
  const auto indicated = heading_at(table, row, columns.indicated);
  if (!indicated) return indicated.error();
  const auto deviation = quantity_at(table, row, columns.deviation);
  if (!deviation) return deviation.error();
  const bool reading =
      columns.deviation ? deviation.value().has_value() : indicated.value().has_value();
  if (!reading) return std::optional<Headings>{};
  const Column& needed = columns.station ? columns.station : columns.indicated;
  if (!(columns.station ? station.value() : indicated.value())) {
    return Error{ErrorKind::BadInput, "the heading is missing", table.place(row, needed->column),
                 "the heading on which this was read, 0 to below 360",
                 "fill in the heading, or put '#' before the line to leave it out"};
  }
  if (!columns.deviation) return std::optional<Headings>{{*station.value(), *indicated.value()}};
  const double to_add =
      *options.deviation_sign == DeviationSign::to_add ? *deviation.value() : -*deviation.value();
  if (std::fabs(to_add) > 180.0) {
    return Error{ErrorKind::BadInput, fmt::format("deviation {:.10g} degrees", *deviation.value()),
                 table.place(row, columns.deviation->column), "-180 to 180 degrees",
                 "correct the cell"};
  }
  return std::optional<Headings>{
      columns.station ? Headings{*station.value(), wrap_360_deg(*station.value() - to_add)}
                      : Headings{wrap_360_deg(*indicated.value() + to_add), *indicated.value()}};
}

/// Everything of the row but the two headings.
Result<SwingReading> beside_headings(const CsvTable& table, std::size_t row,
                                     const Columns& columns) {
  SwingReading out;
  out.row = row;
  out.compass = word_at(table, row, columns.compass);
  if (out.compass.empty()) out.compass = "compass";
  const auto turn = turn_at(table, row, columns);
  if (!turn) return turn.error();
  auto loads = loads_at(table, row, columns);
  if (!loads) return loads.error();
  const auto repeat = quantity_at(table, row, columns.repeat);
  if (!repeat) return repeat.error();
  const auto roll = tilt_at(table, row, columns.roll);
  if (!roll) return roll.error();
  const auto pitch = tilt_at(table, row, columns.pitch);
  if (!pitch) return pitch.error();
  const auto set = heading_at(table, row, columns.set);
  if (!set) return set.error();
  const auto adjuster = adjuster_at(table, row, columns);
  if (!adjuster) return adjuster.error();
  const auto own_sigma = own_sigma_at(table, row, columns.own_sigma);
  if (!own_sigma) return own_sigma.error();
  out.own_sigma_deg = own_sigma.value();
  if (set.value()) out.set_deg = *set.value();
  out.adjuster = adjuster.value();
  out.turn = turn.value();
  out.loads = std::move(loads).value();
  out.repeat = repeat.value() ? static_cast<int>(std::lround(*repeat.value())) : 0;
  out.roll_deg = roll.value();
  out.pitch_deg = pitch.value();
  return out;
}

Result<SwingFile> file_of(const CsvTable& table, const SwingFileOptions& options) {
  const auto columns = columns_of(table, options);
  if (!columns) return columns.error();
  SwingFile out;
  out.stations_named = columns.value().station.has_value();
  out.from_deviations = columns.value().deviation.has_value();
  std::vector<double> empty_deg;  // marks of rows without a reading
  std::set<double> read_deg;
  for (std::size_t row = 0; row < table.rows().size(); ++row) {
    const auto headings = headings_at(table, row, columns.value(), options);
    if (!headings) return headings.error();
    if (!headings.value()) {
      ++out.without_reading;
      // Of a reading alone nobody knows which mark it was.
      if (const auto mark = heading_at(table, row, columns.value().station); mark && mark.value()) {
        empty_deg.push_back(*mark.value());
      }
      continue;
    }
    auto reading = beside_headings(table, row, columns.value());
    if (!reading) return reading.error();
    read_deg.insert(headings.value()->station_deg);
    reading.value().station_deg =
        wrap_360_deg(headings.value()->station_deg - options.subtract_variation_deg.value_or(0.0));
    reading.value().indicated_deg = headings.value()->indicated_deg;
    out.readings.push_back(std::move(reading).value());
  }
  for (const double mark_deg : empty_deg) {
    if (read_deg.insert(mark_deg).second) out.left_out_deg.push_back(mark_deg);
  }
  if (!out.readings.empty()) return out;
  return Error{ErrorKind::BadInput, "there is no reading in the file", table.name(),
               "one row for each reading of a compass", "write the readings below the header"};
}

}  // namespace

Result<SwingFile> read_swing_file(const std::string& path, const std::string& shown_name,
                                  const SwingFileOptions& options) {
  const auto table = read_csv_table(path, shown_name, kSwingExample);
  if (!table) return table.error();
  return file_of(table.value(), options);
}

Result<SwingFile> parse_swing_file(const std::string& bytes, const std::string& name,
                                   const SwingFileOptions& options) {
  const auto table = parse_csv_table(*memory_source(bytes, name), kSwingExample);
  if (!table) return table.error();
  return file_of(table.value(), options);
}

}  // namespace qn
