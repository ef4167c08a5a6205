// SPDX-License-Identifier: Apache-2.0
#include "acquire/column_names.h"

#include <fmt/format.h>

#include <cctype>
#include <utility>

#include "acquire/column_units_internal.h"

namespace qn {
namespace {

constexpr std::string_view kRename = "--map field_x_uT=\"NAME OF THE COLUMN\"";

/// What one header cell or one NAME of a --map can mean.
struct Reading {
  LogQuantity quantity{};
  std::string unit;                  ///< normal form; "" when there is none
  std::optional<LogColumn> meaning;  ///< nothing when the unit is missing or unknown
};

std::optional<Reading> read_name(std::string_view name) {
  for (const ColumnAlias& alias : column_aliases()) {
    const std::optional<std::string> unit = unit_of_column(name, alias.name);
    if (!unit) continue;
    return Reading{alias.quantity, *unit, column_of_unit(alias.quantity, *unit)};
  }
  return std::nullopt;
}

/// NAME=COLUMN of a --map, cut at its sign.
struct MapEntry {
  Reading target;  ///< its meaning is known
  std::string column;
};

std::string option_map(const std::string& entry) { return "option '--map " + entry + "'"; }

Result<MapEntry> map_entry(const std::string& entry) {
  const std::size_t sign = entry.find('=');
  if (sign == std::string::npos || sign == 0 || sign + 1 == entry.size()) {
    return Error{ErrorKind::OutOfRange, "the option does not say NAME=COLUMN", option_map(entry),
                 "one of our names, '=', and the name of a column in the file",
                 "write for example --map field_x_uT=\"Magnetic Field x\""};
  }
  auto target = read_name(entry.substr(0, sign));
  if (!target || !target->meaning) {
    return Error{ErrorKind::OutOfRange,
                 fmt::format("'{}' is not a column this program knows, or lacks its unit",
                             entry.substr(0, sign)),
                 option_map(entry),
                 "a name with its unit such as time_s, field_x_uT, field_x_raw, roll_deg",
                 "see docs/formats/sensor-log.md for the names"};
  }
  return MapEntry{std::move(*target), entry.substr(sign + 1)};
}

std::string list_of(const std::vector<std::string>& header) {
  std::string list;
  for (const std::string& cell : header) {
    if (list.size() > 200) return list + ", ...";
    list += (list.empty() ? "" : ", ") + (cell.empty() ? std::string{"(no name)"} : cell);
  }
  return list;
}

class Finder {
 public:
  Finder(const std::vector<std::string>& header, const std::string& where)
      : header_{header}, where_{where}, taken_(header.size(), false) {}

  std::optional<Error> map(const std::string& entry) {
    const auto mapped = map_entry(entry);
    if (!mapped) return mapped.error();
    const Reading& target = mapped.value().target;
    const auto column = find_column(mapped.value().column);
    if (!column) {
      return Error{ErrorKind::BadInput,
                   fmt::format("there is no column '{}'", mapped.value().column), where_,
                   "one of the file's columns: " + list_of(header_),
                   "correct the part after '=' in --map"};
    }
    LogColumn meaning = *target.meaning;
    // A unit in the column's own name is nearer to the numbers than the name asked for.
    const auto own = read_name(header_[*column]);
    if (own && own->meaning && own->quantity == target.quantity) meaning = *own->meaning;
    meaning.column = *column;
    auto& slot = found_.of[static_cast<std::size_t>(target.quantity)];
    if (slot) {
      return Error{ErrorKind::OutOfRange, "two --map options name the same quantity",
                   option_map(entry), "one column for each quantity", "leave one of them out"};
    }
    slot = meaning;
    taken_[*column] = true;
    mapped_[static_cast<std::size_t>(target.quantity)] = true;
    return std::nullopt;
  }

  std::optional<Error> recognise(std::size_t column) {
    if (taken_[column]) return std::nullopt;
    const auto reading = read_name(header_[column]);
    if (!reading) return std::nullopt;
    const auto index = static_cast<std::size_t>(reading->quantity);
    if (mapped_[index]) return std::nullopt;
    if (!reading->meaning) return unknown_unit(*reading, column);
    auto& slot = found_.of[index];
    if (slot) {
      return Error{ErrorKind::BadInput,
                   fmt::format("the columns '{}' and '{}' hold the same quantity",
                               header_[slot->column], header_[column]),
                   where_, "one column for each quantity",
                   "choose one with --map, for example --map " +
                       std::string{canonical_name(reading->quantity)} + "=\"" +
                       header_[slot->column] + "\""};
    }
    slot = *reading->meaning;
    slot->column = column;
    return std::nullopt;
  }

  Result<LogColumns> finish(LogNeeds needs) {
    if (!found_[LogQuantity::time]) {
      return Error{ErrorKind::BadInput,
                   "no column holds the time; the columns are: " + list_of(header_), where_,
                   "a column time_s (seconds), time_ms or time_us",
                   "name the column, for example --map time_s=\"NAME OF THE COLUMN\""};
    }
    if (needs == LogNeeds::field_or_heading && found_[LogQuantity::heading] && !any_field()) {
      found_.heading_alone = true;
      drop_incomplete_accel();
      return std::move(found_);
    }
    if (auto error = check_field()) return std::move(*error);
    drop_incomplete_accel();
    return std::move(found_);
  }

  /// For a live link, which may say a heading or a current only, and has the time of its arrival.
  Result<LogColumns> finish_some() {
    bool any = false;
    if (any_field()) {
      if (auto error = check_field()) return std::move(*error);
    }
    drop_incomplete_accel();
    for (std::size_t q = 0; q < kLogQuantities; ++q) {
      any = any || (static_cast<LogQuantity>(q) != LogQuantity::time && found_.of[q]);
    }
    if (any) return std::move(found_);
    return Error{ErrorKind::BadInput,
                 "no column has a name that is known here; the columns are: " + list_of(header_),
                 where_, "names such as time_s, field_x_uT, heading_deg, current_A",
                 "name the columns, for example --columns time_s,field_x_uT,field_y_uT,field_z_uT"};
  }

 private:
  std::optional<Error> check_field() {
    std::size_t raw = 0;
    for (const LogQuantity axis : kFieldAxes) {
      if (!found_[axis]) {
        return Error{ErrorKind::BadInput,
                     fmt::format("no column holds {}; the columns are: {}", canonical_name(axis),
                                 list_of(header_)),
                     where_,
                     "field_x_uT, field_y_uT, field_z_uT (microtesla), or field_x_raw and so on "
                     "(the sensor's own counts)",
                     "name the columns, for example " + std::string{kRename}};
      }
      raw += found_[axis]->counts ? 1 : 0;
    }
    if (raw != 0 && raw != kFieldAxes.size()) {
      return Error{ErrorKind::BadInput, "some field columns are counts and some have a unit",
                   where_, "three columns of the same kind",
                   "choose them with " + std::string{kRename}};
    }
    found_.unit = raw == 0 ? FieldUnit::microtesla : FieldUnit::counts;
    return std::nullopt;
  }

  std::optional<std::size_t> find_column(const std::string& name) const {
    for (std::size_t i = 0; i < header_.size(); ++i) {
      if (header_[i] == name) return i;
    }
    for (std::size_t i = 0; i < header_.size(); ++i) {
      if (normal_name(header_[i]) == normal_name(name)) return i;
    }
    return std::nullopt;
  }

  std::optional<Error> unknown_unit(const Reading& reading, std::size_t column) {
    const std::string trouble =
        reading.unit.empty()
            ? fmt::format("the column '{}' does not say its unit", header_[column])
            : fmt::format("the unit of the column '{}' is not known here", header_[column]);
    const std::string_view units = known_units(reading.quantity);
    if (!is_required(reading.quantity)) {
      found_.remarks.push_back(
          fmt::format("{}, so the column was not used (known: {}).", trouble, units));
      found_.remarks.back()[0] = 'T';
      return std::nullopt;
    }
    return Error{ErrorKind::BadInput, trouble, where_, fmt::format("one of the units {}", units),
                 fmt::format("say it with --map {}=\"{}\" (or another unit in its place)",
                             canonical_name(reading.quantity), header_[column])};
  }

  bool any_field() const {
    for (const LogQuantity axis : kFieldAxes) {
      if (found_[axis]) return true;
    }
    return false;
  }

  void drop_incomplete_accel() {
    std::size_t axes = 0;
    for (const LogQuantity axis : kAccelAxes) axes += found_[axis] ? 1 : 0;
    if (axes == 0 || axes == kAccelAxes.size()) return;
    for (const LogQuantity axis : kAccelAxes) found_.of[static_cast<std::size_t>(axis)].reset();
    found_.remarks.push_back("The accelerometer was not used: not all three axes have a column.");
  }

  const std::vector<std::string>& header_;
  const std::string& where_;
  std::vector<bool> taken_;
  std::array<bool, kLogQuantities> mapped_{};
  LogColumns found_;
};

}  // namespace

std::optional<Error> check_map_entry(const std::string& entry) {
  const auto mapped = map_entry(entry);
  if (mapped) return std::nullopt;
  return mapped.error();
}

std::string normal_name(std::string_view name) {
  std::string normal;
  const auto add_word_break = [&] {
    if (!normal.empty() && normal.back() != '_') normal += '_';
  };
  for (std::size_t i = 0; i < name.size(); ++i) {
    const auto byte = static_cast<unsigned char>(name[i]);
    const auto next = i + 1 < name.size() ? static_cast<unsigned char>(name[i + 1]) : 0u;
    // UTF-8 sequences first; the same signs as single bytes are Latin-1, as old exports write them.
    if (byte == 0xceu && next == 0xbcu) {
      normal += 'u';  // Greek mu, which some programs use for the micro sign
      ++i;
    } else if (byte == 0xc2u && (next == 0xb5u || next == 0xb0u || next == 0xb2u)) {
      continue;  // the second byte says which sign
    } else if (byte == 0xb5u) {
      normal += 'u';
    } else if (byte == 0xb0u) {
      normal += "deg";
    } else if (byte == 0xb2u) {
      normal += '2';
    } else if (byte < 0x80u && std::isalnum(byte) != 0) {
      normal += static_cast<char>(std::tolower(byte));
    } else {
      add_word_break();
    }
  }
  while (!normal.empty() && normal.back() == '_') normal.pop_back();
  return normal;
}

std::optional<std::string> unit_of_column(std::string_view header, std::string_view base) {
  const std::size_t open = header.find_last_of("([");
  if (open != std::string_view::npos && open > 0) {
    const std::size_t close = header.find_first_of(")]", open);
    if (close != std::string_view::npos && normal_name(header.substr(0, open)) == base) {
      return normal_name(header.substr(open + 1, close - open - 1));
    }
  }
  const std::string normal = normal_name(header);
  if (normal == base) return "";
  if (normal.size() > base.size() + 1 && normal.compare(0, base.size(), base) == 0 &&
      normal[base.size()] == '_') {
    std::string rest = normal.substr(base.size() + 1);
    if (is_unit_word(rest)) return rest;
  }
  return std::nullopt;
}

namespace {

std::optional<Error> look_through(Finder& finder, const std::vector<std::string>& header,
                                  const std::vector<std::string>& column_map) {
  for (const std::string& entry : column_map) {
    if (auto error = finder.map(entry)) return error;
  }
  for (std::size_t column = 0; column < header.size(); ++column) {
    if (auto error = finder.recognise(column)) return error;
  }
  return std::nullopt;
}

}  // namespace

Result<LogColumns> find_log_columns(const std::vector<std::string>& header,
                                    const std::vector<std::string>& column_map,
                                    const std::string& where, LogNeeds needs) {
  Finder finder{header, where};
  if (auto error = look_through(finder, header, column_map)) return std::move(*error);
  return finder.finish(needs);
}

Result<LogColumns> find_link_columns(const std::vector<std::string>& header,
                                     const std::vector<std::string>& column_map,
                                     const std::string& where) {
  Finder finder{header, where};
  if (auto error = look_through(finder, header, column_map)) return std::move(*error);
  return finder.finish_some();
}

}  // namespace qn
