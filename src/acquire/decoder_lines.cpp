// SPDX-License-Identifier: Apache-2.0
#include "acquire/decoder_lines.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "acquire/column_names.h"
#include "acquire/column_units_internal.h"
#include "acquire/csv_line.h"
#include "acquire/decimal.h"

namespace qn {
namespace {

constexpr std::size_t kMostCells = 100;

/// Where the number of a quantity goes.
double& place_of(LogQuantity quantity, LinkReading& reading) {
  switch (quantity) {
    case LogQuantity::time: return reading.sensor_time_s;
    case LogQuantity::field_x: return reading.field[0];
    case LogQuantity::field_y: return reading.field[1];
    case LogQuantity::field_z: return reading.field[2];
    case LogQuantity::roll: return reading.roll_deg;
    case LogQuantity::pitch: return reading.pitch_deg;
    case LogQuantity::accel_x: return reading.accel_g[0];
    case LogQuantity::accel_y: return reading.accel_g[1];
    case LogQuantity::accel_z: return reading.accel_g[2];
    case LogQuantity::heading: return reading.heading_deg;
    case LogQuantity::current: return reading.current_A;
    case LogQuantity::temperature: break;
  }
  return reading.temperature_C;
}

char separator_of(std::string_view line) {
  for (const char c : {';', '\t', ','}) {
    if (line.find(c) != std::string_view::npos) return c;
  }
  return ' ';
}

void split(std::string_view line, char separator, std::vector<std::string_view>& cells,
           std::vector<std::string>& storage) {
  if (separator != ' ') {
    split_csv_line(line, separator, cells, storage);
    return;
  }
  cells.clear();  // any number of blanks is one separator
  for (line = trim(line); !line.empty();) {
    const std::size_t end = std::min(line.find(' '), line.size());
    cells.push_back(line.substr(0, end));
    line = trim(line.substr(end));
  }
}

std::optional<double> number_of(std::string_view cell, char separator) {
  return separator == ',' ? parse_number(cell) : parse_number_with_comma(cell);
}

class DelimitedReader : public LineReader {
 public:
  DelimitedReader(std::optional<LogColumns> columns, std::size_t width,
                  std::vector<std::string> column_map)
      : columns_{std::move(columns)}, width_{width}, column_map_{std::move(column_map)} {}

  LineVerdict read(std::string_view line, LinkReading& reading, DecoderTally& tally) override {
    line = trim(line);
    if (line.empty() || line.front() == '#') return LineVerdict::quiet;
    const char separator = separator_of(line);
    split(line, separator, cells_, storage_);
    if (cells_.size() > 1 && cells_.back().empty()) cells_.pop_back();  // a comma at the end
    if (cells_.size() > kMostCells) return LineVerdict::not_mine;
    std::size_t numbers = 0;
    std::size_t words = 0;
    for (const auto cell : cells_) {
      if (is_missing(cell)) continue;
      (number_of(cell, separator) ? numbers : words) += 1;
    }
    if (words > 0) {
      return numbers == 0 && take_header() ? LineVerdict::quiet : LineVerdict::not_mine;
    }
    if (numbers == 0) return LineVerdict::not_mine;
    count_one(tally.widths, cells_.size());
    if (!columns_) return LineVerdict::unnamed;
    if (cells_.size() < width_) return LineVerdict::half;
    if (cells_.size() > width_) return LineVerdict::not_mine;
    return fill(separator, reading, tally) ? LineVerdict::reading : LineVerdict::not_mine;
  }

 private:
  bool take_header() {
    const std::vector<std::string> header{cells_.begin(), cells_.end()};
    auto columns = find_link_columns(header, column_map_, "the header line");
    if (!columns) return false;
    columns_ = std::move(columns).value();
    width_ = header.size();
    return true;
  }

  bool fill(char separator, LinkReading& reading, DecoderTally& tally) const {
    bool any = false;
    for (std::size_t q = 0; q < kLogQuantities; ++q) {
      const auto& column = columns_->of[q];
      if (!column) continue;
      const auto quantity = static_cast<LogQuantity>(q);
      const auto parsed = number_of(cells_[column->column], separator);
      if (!parsed || std::isnan(*parsed)) {
        ++tally.missing_cells;
        continue;
      }
      const double value = column->scale.apply(*parsed);
      if (!(std::fabs(value) <= largest_value(quantity, column->counts))) {
        ++tally.impossible_cells;
        continue;
      }
      place_of(quantity, reading) = value;
      any = any || quantity != LogQuantity::time;
    }
    reading.source = "lines";
    reading.field_unit = columns_->unit;
    return any;
  }

  std::optional<LogColumns> columns_;
  std::size_t width_;
  std::vector<std::string> column_map_;
  std::vector<std::string_view> cells_;
  std::vector<std::string> storage_;
};

std::vector<std::string> names_of(const std::string& columns) {
  std::vector<std::string> names;
  std::vector<std::string_view> cells;
  std::vector<std::string> storage;
  split_csv_line(columns, ',', cells, storage);
  for (const auto cell : cells) names.emplace_back(cell == "-" ? "" : cell);
  return names;
}

}  // namespace

Result<std::unique_ptr<LineReader>> delimited_line_reader(
    const std::string& columns, const std::vector<std::string>& column_map) {
  for (const std::string& entry : column_map) {
    if (auto wrong = check_map_entry(entry)) return std::move(*wrong);
  }
  std::optional<LogColumns> found;
  std::size_t width = 0;
  if (!columns.empty()) {
    const auto names = names_of(columns);
    auto named = find_link_columns(names, column_map, "option '--columns " + columns + "'");
    if (!named) {
      Error error = named.error();
      error.kind = ErrorKind::OutOfRange;  // it stands on the command line, not in a file
      return error;
    }
    for (std::size_t i = 0; i < names.size(); ++i) {
      const bool used = std::any_of(named.value().of.begin(), named.value().of.end(),
                                    [&](const auto& c) { return c && c->column == i; });
      if (used || names[i].empty()) continue;
      return Error{ErrorKind::OutOfRange, "the column '" + names[i] + "' is not known here",
                   "option '--columns " + columns + "'",
                   "names with their units, such as time_ms, field_x_uT, heading_deg, current_A",
                   "correct the name, or write '-' for a column to leave out"};
    }
    found = std::move(named).value();
    width = names.size();
  }
  return std::unique_ptr<LineReader>{
      std::make_unique<DelimitedReader>(std::move(found), width, column_map)};
}

}  // namespace qn
