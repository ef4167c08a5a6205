// SPDX-License-Identifier: Apache-2.0
#include "app/codec_rose.h"

#include <fmt/format.h>

#include <array>
#include <memory>
#include <numbers>
#include <utility>

#include "acquire/byte_source.h"
#include "app/csv_quantity.h"
#include "vocab/heading.h"

namespace qn {
namespace {

const std::vector<CsvUnit> kRoseUnits = {
    {"deg", "deg", 1.0}, {"degrees", "deg", 1.0}, {"rad", "rad", 180.0 / std::numbers::pi}};
constexpr const char* kRoseColumns =
    "columns station_deg (what is written at the mark) and direction_deg, direction_magnetic_deg "
    "or "
    "direction_true_deg (where it points); sigma_deg and north_sigma_deg if known";
constexpr CsvExample kRoseExample{"station_deg,direction_deg,sigma_deg,north_sigma_deg",
                                  "mark of the rose", "", "write it again"};
constexpr double kMostSigma_deg = 30.0;

struct RoseColumns {
  std::optional<QuantityColumn> station, direction, sigma, north_sigma;
  RoseNorth north = RoseNorth::as_stations;
};

Error refuse_rose(const CsvTable& table, std::string what) {
  return {ErrorKind::BadInput, std::move(what), table.name(), kRoseColumns,
          "name the columns as in docs/formats/rose.md"};
}

Result<RoseColumns> rose_columns(const CsvTable& table) {
  RoseColumns out;
  const std::pair<const char*, std::optional<QuantityColumn>*> wanted[] = {
      {"station", &out.station}, {"sigma", &out.sigma}, {"north_sigma", &out.north_sigma}};
  for (const auto& [name, column] : wanted) {
    const auto found = find_quantity(table, name, kRoseUnits);
    if (!found) return found.error();
    *column = found.value();
  }
  // "direction" last: to it the longer names are columns of an unknown unit.
  const std::pair<const char*, RoseNorth> directions[] = {
      {"direction_magnetic", RoseNorth::magnetic},
      {"direction_true", RoseNorth::true_north},
      {"direction", RoseNorth::as_stations}};
  for (const auto& [name, north] : directions) {
    const auto found = find_quantity(table, name, kRoseUnits);
    if (!found && out.direction && north == RoseNorth::as_stations) continue;
    if (!found) return found.error();
    if (!found.value()) continue;
    if (out.direction) {
      return refuse_rose(table, "two columns say where the marks point, from one north each");
    }
    out.direction = found.value();
    out.north = north;
  }
  if (!out.station) return refuse_rose(table, "no column is called station_deg");
  if (!out.direction) return refuse_rose(table, "no column says where the marks point");
  return out;
}

Result<double> rose_heading(const CsvTable& table, std::size_t row,
                            const std::optional<QuantityColumn>& column) {
  const auto number = quantity_at(table, row, column);
  if (!number) return number.error();
  if (number.value() && *number.value() >= 0.0 && *number.value() <= 360.0) {
    return wrap_360_deg(*number.value());
  }
  return Error{ErrorKind::BadInput,
               number.value() ? fmt::format("heading {:.10g}", *number.value())
                              : std::string{"the heading is missing"},
               table.place(row, column->column), "a heading from 0 to 360 degrees",
               "correct the cell, or put '#' before the line to leave the mark out"};
}

/// Nothing when the cell is empty.
Result<std::optional<double>> rose_sigma(const CsvTable& table, std::size_t row,
                                         const std::optional<QuantityColumn>& column) {
  auto number = quantity_at(table, row, column);
  if (!number || !number.value()) return number;
  if (*number.value() > 0.0 && *number.value() <= kMostSigma_deg) return number;
  return Error{ErrorKind::BadInput, fmt::format("a sigma of {:.10g} degrees", *number.value()),
               table.place(row, column->column),
               fmt::format("degrees, 1 sigma, more than 0 and at most {:g}", kMostSigma_deg),
               "correct the cell, or empty it"};
}

std::optional<Error> take_north_sigma(const CsvTable& table, std::size_t row,
                                      const RoseColumns& columns, Rose& rose) {
  const auto sigma = rose_sigma(table, row, columns.north_sigma);
  if (!sigma) return sigma.error();
  if (!sigma.value()) return std::nullopt;
  if (!rose.north_sigma_deg) rose.north_sigma_deg = *sigma.value();
  if (*rose.north_sigma_deg == *sigma.value()) return std::nullopt;
  return Error{ErrorKind::BadInput,
               fmt::format("north_sigma_deg is {:g} here and {:g} above", *sigma.value(),
                           *rose.north_sigma_deg),
               table.place(row, columns.north_sigma->column),
               "one number in every row, or in the first alone: it is of the north of all marks",
               "put what differs from mark to mark into sigma_deg"};
}

Result<RoseFile> rose_of(const CsvTable& table) {
  const auto columns = rose_columns(table);
  if (!columns) return columns.error();
  RoseFile out;
  out.north = columns.value().north;
  for (std::size_t row = 0; row < table.rows().size(); ++row) {
    const auto written = rose_heading(table, row, columns.value().station);
    if (!written) return written.error();
    const auto direction = rose_heading(table, row, columns.value().direction);
    if (!direction) return direction.error();
    const auto sigma = rose_sigma(table, row, columns.value().sigma);
    if (!sigma) return sigma.error();
    if (auto wrong = take_north_sigma(table, row, columns.value(), out.rose)) return *wrong;
    if (!out.rose.marks.empty() && find_mark(out.rose, written.value()) != nullptr) {
      return Error{ErrorKind::BadInput,
                   fmt::format("the mark {:g} stands in the file twice", written.value()),
                   table.place(row, columns.value().station->column), "one row for each mark",
                   "leave one of the two rows out"};
    }
    RoseMark mark{written.value(), direction.value()};
    if (sigma.value()) mark.sigma_deg = *sigma.value();
    out.rose.marks.push_back(mark);
  }
  if (!out.rose.marks.empty()) return out;
  return refuse_rose(table, "there is no mark in the file");
}

}  // namespace

Result<RoseFile> read_rose_file(const std::string& path, const std::string& shown_name) {
  const auto table = read_csv_table(path, shown_name, kRoseExample);
  if (!table) return table.error();
  return rose_of(table.value());
}

Result<RoseFile> parse_rose_file(const std::string& bytes, const std::string& name) {
  const auto table = parse_csv_table(*memory_source(bytes, name), kRoseExample);
  if (!table) return table.error();
  return rose_of(table.value());
}

}  // namespace qn
