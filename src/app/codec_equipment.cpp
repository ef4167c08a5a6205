// SPDX-License-Identifier: Apache-2.0
#include "app/codec_equipment.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <memory>
#include <optional>
#include <set>
#include <tuple>
#include <utility>

#include "acquire/byte_source.h"
#include "acquire/csv_table.h"
#include "app/csv_quantity.h"
#include "app/csv_row.h"
#include "vocab/letters.h"
#include "vocab/mark.h"
#include "vocab/text_parts.h"

namespace qn {
namespace {

/// Where the columns of one file stand.
struct Columns {
  std::size_t device = 0;
  std::optional<std::size_t> kind, states, phases, with, caution, optional, note;
  std::optional<QuantityColumn> current, max_on, min_rest, transit;
};

Error cell_error(const std::string& place, std::string what, std::string expected,
                 std::string remedy) {
  return Error{ErrorKind::BadInput, std::move(what), place, std::move(expected), std::move(remedy)};
}

Result<Columns> columns_of(const CsvTable& table) {
  Columns columns;
  const auto device = table.find("device");
  if (!device) {
    return cell_error(table.name(), "no column is called device",
                      "a column device with the name of each load or moving part",
                      "name the columns as in docs/formats/equipment.md");
  }
  columns.device = *device;
  columns.kind = table.find("kind");
  columns.states = table.find("states");
  columns.phases = table.find("phases");
  columns.with = table.find("with");
  columns.caution = table.find("caution");
  columns.optional = table.find("optional");
  columns.note = table.find("note");
  for (const auto& [base, units, column] : {std::tuple{"current", &kCurrentUnits, &columns.current},
                                            std::tuple{"max_on", &kTimeUnits, &columns.max_on},
                                            std::tuple{"min_rest", &kTimeUnits, &columns.min_rest},
                                            std::tuple{"transit", &kTimeUnits, &columns.transit}}) {
    const auto found = find_quantity(table, base, *units);
    if (!found) return found.error();
    *column = found.value();
  }
  return columns;
}

std::string cell_of(const CsvTable& table, std::size_t row,
                    const std::optional<std::size_t>& column) {
  return column ? without_outer_spaces(table.text(row, *column)) : "";
}

std::vector<std::string> list_of(const std::string& cell) {
  std::vector<std::string> parts;
  if (cell.empty()) return parts;
  for (const std::string_view part : parts_of(cell, "|")) parts.emplace_back(trimmed(part));
  return parts;
}

/// The number a state's name would be taken for; nothing for a proper name.
std::optional<int> as_number(const std::string& state) {
  if (state == "0") return 0;
  if (state == "1" || state == "+1") return 1;
  if (state == "-1") return -1;
  return std::nullopt;
}

Result<std::string> name_at(const CsvTable& table, std::size_t row, std::size_t column) {
  std::string name = without_outer_spaces(table.text(row, column));
  if (name.empty()) {
    return cell_error(table.place(row, column), "the device has no name",
                      "a name to be used in the marks, for example Landing light",
                      "fill in the name, or put '#' before the line to leave it out");
  }
  if (name == kEverything || lower_case(name).rfind(kPhasePrefix, 0) == 0) {
    return cell_error(
        table.place(row, column), "'" + name + "' cannot be the name of a device",
        "a name other than '*' and phase:..., which stand for several devices in the marks",
        "give the device another name; flight phases belong into the column phases");
  }
  return name;
}

Result<std::vector<std::string>> states_at(const CsvTable& table, std::size_t row,
                                           std::size_t column) {
  const std::string place = table.place(row, column);
  std::vector<std::string> states = list_of(without_outer_spaces(table.text(row, column)));
  if (states.empty()) return Device{}.states;
  if (states.size() == 1) {
    return cell_error(place, "state with no off: '" + states[0] + "' is the only state",
                      "at least two states, the reference first: off|on, down|up",
                      "add the state it is compared with, before the '|'");
  }
  std::set<std::string> seen;
  for (std::size_t i = 0; i < states.size(); ++i) {
    if (states[i].empty()) {
      return cell_error(place, "a state in the list has no name", "names with one '|' between two",
                        "remove the '|' too many");
    }
    if (!seen.insert(lower_case(states[i])).second) {
      return cell_error(place, "the state '" + states[i] + "' is listed twice",
                        "different names (capitals do not count)", "rename or remove one");
    }
    const auto number = as_number(states[i]);
    if (number && number != state_number(i)) {
      return cell_error(place,
                        "the state '" + states[i] + "' is called by the number of another state",
                        "a name; 0 stands for the first state, 1 for the second, -1 for the third",
                        "write a word, such as off or left");
    }
  }
  return states;
}

Result<std::optional<double>> size_at(const CsvTable& table, std::size_t row,
                                      const std::optional<QuantityColumn>& column,
                                      bool zero_allowed) {
  auto value = quantity_at(table, row, column);
  if (!value || !value.value()) return value;
  if (*value.value() > 0.0 || (zero_allowed && *value.value() == 0.0)) return value;
  return cell_error(table.place(row, column->column),
                    fmt::format("{} is {}", table.text(row, column->column),
                                *value.value() < 0.0 ? "negative" : "no time to work it in"),
                    zero_allowed ? "0 or more" : "more than 0", "correct or empty the cell");
}

Result<bool> optional_at(const CsvTable& table, std::size_t row,
                         const std::optional<std::size_t>& column) {
  const std::string word = lower_case(cell_of(table, row, column));
  if (word.empty() || word == "no") return false;
  if (word == "yes") return true;
  return cell_error(table.place(row, *column), "'" + word + "' does not say whether it is optional",
                    "yes, no, or an empty cell for no", "write yes or no");
}

Result<Device> device_at(const CsvTable& table, std::size_t row, const Columns& columns) {
  Device device;
  device.line = table.rows()[row].line;
  auto name = name_at(table, row, columns.device);
  if (!name) return name.error();
  device.name = std::move(name).value();
  if (const std::string word = lower_case(cell_of(table, row, columns.kind)); !word.empty()) {
    const auto kind = device_kind_from(word);
    if (!kind) {
      return cell_error(table.place(row, *columns.kind), "'" + word + "' is no kind of device",
                        "steady, pulsing, motor, moving or engine",
                        "write one of them, or leave the cell empty for steady");
    }
    device.kind = *kind;
  }
  if (columns.states) {
    auto states = states_at(table, row, *columns.states);
    if (!states) return states.error();
    device.states = std::move(states).value();
  }
  std::optional<double> transit;
  for (const auto& [column, zero_allowed, into] :
       {std::tuple{&columns.current, true, &device.current_A},
        std::tuple{&columns.max_on, false, &device.max_on_s},
        std::tuple{&columns.min_rest, true, &device.min_rest_s},
        std::tuple{&columns.transit, true, &transit}}) {
    const auto size = size_at(table, row, *column, zero_allowed);
    if (!size) return size.error();
    *into = size.value();
  }
  device.transit_s = transit.value_or(0.0);
  device.phases = list_of(cell_of(table, row, columns.phases));
  std::erase(device.phases, "");
  device.with = cell_of(table, row, columns.with);
  device.caution = cell_of(table, row, columns.caution);
  const auto optional = optional_at(table, row, columns.optional);
  if (!optional) return optional.error();
  device.optional = optional.value();
  device.note = cell_of(table, row, columns.note);
  return device;
}

const Device* named(const std::vector<Device>& equipment, const std::string& name) {
  for (const Device& device : equipment) {
    if (lower_case(device.name) == lower_case(name)) return &device;
  }
  return nullptr;
}

/// Checks what only the whole list can tell. Row numbers are those of the table.
Result<Done> join_list(const CsvTable& table, const Columns& columns,
                       std::vector<Device>& equipment) {
  for (std::size_t row = 0; row < equipment.size(); ++row) {
    const Device* first = named(equipment, equipment[row].name);
    if (first != &equipment[row]) {
      return cell_error(table.place(row, columns.device),
                        fmt::format("the device '{}' is listed twice, first in line {}",
                                    equipment[row].name, first->line),
                        "one line for each device (capitals do not count)",
                        "rename one, for example '... left' and '... right'");
    }
  }
  for (std::size_t row = 0; row < equipment.size(); ++row) {
    Device& device = equipment[row];
    if (device.with.empty()) continue;
    const Device* other = named(equipment, device.with);
    if (other == nullptr || other == &device) {
      return cell_error(
          table.place(row, *columns.with),
          other == nullptr ? fmt::format("'{}' is needed by '{}' and is no device of this list",
                                         device.with, device.name)
                           : fmt::format("'{}' is said to need itself", device.name),
          "the name of another device of the list", "correct the name, or add that device");
    }
    device.with = other->name;
  }
  for (std::size_t row = 0; row < equipment.size(); ++row) {
    const Device* at = &equipment[row];
    for (std::size_t steps = 0; !at->with.empty(); ++steps) {
      at = named(equipment, at->with);
      if (steps <= equipment.size()) continue;
      return cell_error(table.place(row, *columns.with),
                        fmt::format("what '{}' needs runs in a circle", equipment[row].name),
                        "a device that needs no other at the end", "empty one of the cells");
    }
  }
  return Done{};
}

Result<std::vector<Device>> equipment_of(const CsvTable& table) {
  const auto columns = columns_of(table);
  if (!columns) return columns.error();
  std::vector<Device> equipment;
  for (std::size_t row = 0; row < table.rows().size(); ++row) {
    auto device = device_at(table, row, columns.value());
    if (!device) return device.error();
    equipment.push_back(std::move(device).value());
  }
  if (equipment.empty()) {
    return cell_error(table.name(), "there is a header but no device",
                      "one row for each load or moving part", "write the devices below the header");
  }
  if (const auto joined = join_list(table, columns.value(), equipment); !joined) {
    return joined.error();
  }
  return equipment;
}

std::string number_cell(const std::optional<double>& value) {
  return value ? fmt::format("{}", *value) : "";
}

}  // namespace

Result<std::vector<Device>> read_equipment(const std::string& path, const std::string& shown_name) {
  const auto table = read_csv_table(path, shown_name);
  if (!table) return table.error();
  return equipment_of(table.value());
}

Result<std::vector<Device>> parse_equipment(const std::string& bytes, const std::string& name) {
  const auto table = parse_csv_table(*memory_source(bytes, name));
  if (!table) return table.error();
  return equipment_of(table.value());
}

std::string equipment_csv(const std::vector<Device>& equipment) {
  std::string text = csv_row({"device", "kind", "current_A", "states", "max_on_s", "min_rest_s",
                              "transit_s", "phases", "with", "caution", "optional", "note"});
  for (const Device& d : equipment) {
    text += csv_row({d.name, std::string{to_word(d.kind)}, number_cell(d.current_A),
                     fmt::format("{}", fmt::join(d.states, "|")), number_cell(d.max_on_s),
                     number_cell(d.min_rest_s),
                     d.transit_s == 0.0 ? "" : fmt::format("{}", d.transit_s),
                     fmt::format("{}", fmt::join(d.phases, "|")), d.with, d.caution,
                     d.optional ? "yes" : "", d.note});
  }
  return text;
}

}  // namespace qn
