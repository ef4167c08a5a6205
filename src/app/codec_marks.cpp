// SPDX-License-Identifier: Apache-2.0
#include "app/codec_marks.h"

#include <fmt/format.h>

#include <memory>
#include <optional>
#include <utility>

#include "acquire/byte_source.h"
#include "acquire/csv_table.h"
#include "app/csv_quantity.h"
#include "app/csv_row.h"

namespace qn {
namespace {

Result<std::size_t> text_column(const CsvTable& table, const char* name, const char* holds) {
  if (const auto column = table.find(name)) return *column;
  return Error{ErrorKind::BadInput, fmt::format("no column is called {}", name), table.name(),
               fmt::format("a column {} with {}", name, holds),
               "name the columns time_s, device and state (docs/formats/marks.md)"};
}

Error missing(const CsvTable& table, std::size_t row, std::size_t column, const char* what,
              const char* expected) {
  return Error{ErrorKind::BadInput, fmt::format("the {} is missing", what),
               table.place(row, column), expected,
               "fill in the cell, or put '#' before the line to leave the mark out"};
}

Result<Mark> mark_at(const CsvTable& table, std::size_t row, QuantityColumn time,
                     std::size_t device, std::size_t state) {
  const auto at = quantity_at(table, row, time);
  if (!at) return at.error();
  if (!at.value()) return missing(table, row, time.column, "time", "seconds of the recording");
  Mark mark{*at.value(), without_outer_spaces(table.text(row, device)),
            without_outer_spaces(table.text(row, state)), table.rows()[row].line};
  if (mark.device.empty()) {
    return missing(table, row, device, "device",
                   "a name of the equipment list, '*' for everything, or phase:NAME");
  }
  if (mark.state.empty()) {
    return missing(table, row, state, "state",
                   "the state's name or its number: 0 for the reference, 1, -1");
  }
  return mark;
}

Result<std::vector<Mark>> marks_of(const CsvTable& table) {
  const auto time = find_quantity(table, "time", kTimeUnits);
  if (!time) return time.error();
  if (!time.value()) {
    return Error{ErrorKind::BadInput, "no column is called time_s", table.name(),
                 "a column time_s with the seconds of the recording at each mark",
                 "name the columns time_s, device and state (docs/formats/marks.md)"};
  }
  const auto device = text_column(table, "device", "what was worked");
  if (!device) return device.error();
  const auto state = text_column(table, "state", "the state it was put into");
  if (!state) return state.error();
  std::vector<Mark> marks;
  for (std::size_t row = 0; row < table.rows().size(); ++row) {
    auto mark = mark_at(table, row, *time.value(), device.value(), state.value());
    if (!mark) return mark.error();
    marks.push_back(std::move(mark).value());
  }
  if (marks.empty()) {
    return Error{ErrorKind::BadInput, "there is a header but no mark", table.name(),
                 "one row for each switch of a device", "write the marks below the header"};
  }
  return marks;
}

}  // namespace

Result<std::vector<Mark>> read_marks(const std::string& path, const std::string& shown_name) {
  const auto table = read_csv_table(path, shown_name);
  if (!table) return table.error();
  return marks_of(table.value());
}

Result<std::vector<Mark>> parse_marks(const std::string& bytes, const std::string& name) {
  const auto table = parse_csv_table(*memory_source(bytes, name));
  if (!table) return table.error();
  return marks_of(table.value());
}

std::string marks_csv(const std::vector<Mark>& marks) {
  std::string text = csv_row({"time_s", "device", "state"});
  for (const Mark& mark : marks) {
    text += csv_row({fmt::format("{}", mark.time_s), mark.device, mark.state});
  }
  return text;
}

}  // namespace qn
