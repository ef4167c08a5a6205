// SPDX-License-Identifier: Apache-2.0
#include "acquire/sensor_log.h"

#include <fmt/format.h>

#include <cmath>
#include <memory>
#include <utility>

#include "acquire/column_names.h"
#include "acquire/column_units_internal.h"
#include "acquire/csv_preamble.h"
#include "acquire/log_blocks_internal.h"
#include "acquire/recording_builder_internal.h"

namespace qn {
namespace {

/// One slot per quantity found, in the order of LogQuantity: time, field x, y, z come first.
void plan_slots(const LogColumns& columns, RowPlan& plan) {
  for (std::size_t q = 0; q < kLogQuantities; ++q) {
    if (!columns.of[q]) continue;
    const auto quantity = static_cast<LogQuantity>(q);
    const LogColumn& column = *columns.of[q];
    const double limit = largest_value(quantity, column.counts);
    plan.slot_of_column[column.column] = static_cast<int>(plan.slots.size());
    const std::string_view name = canonical_name(quantity);
    plan.slots.push_back(
        {.limit = limit * column.scale.divide / column.scale.multiply,
         .limit_shown = limit,
         .unit_shown = column.counts ? "counts" : std::string{name.substr(name.rfind('_') + 1)},
         .may_hold_text = false});
  }
}

std::vector<UnitScale> scales_of(const LogColumns& columns) {
  std::vector<UnitScale> scales;
  for (const auto& column : columns.of) {
    if (column) scales.push_back(column->scale);
  }
  return scales;
}

void to_our_units(const std::vector<UnitScale>& scales, LogBlock& block) {
  for (std::size_t slot = 0; slot < scales.size(); ++slot) {
    const UnitScale& scale = scales[slot];
    if (scale.multiply == 1.0 && scale.divide == 1.0 && scale.add == 0.0) continue;
    double* const values = block.values[slot].data();
    for (std::size_t row = 0; row < block.rows; ++row) values[row] = scale.apply(values[row]);
  }
}

}  // namespace

Result<SensorRecording> read_sensor_log(const ByteSource& source, const SensorLogOptions& options) {
  auto preamble = read_preamble(source);
  if (!preamble) return preamble.error();
  const std::string header_place =
      fmt::format("{}, line {}", source.name(), preamble.value().header_line_number);
  auto columns =
      find_log_columns(preamble.value().header, options.column_map, header_place, options.needs);
  if (!columns) return columns.error();
  RowPlan plan = plan_rows(std::move(preamble).value());
  plan_slots(columns.value(), plan);

  const std::vector<UnitScale> scales = scales_of(columns.value());
  RecordingBuilder builder{columns.value(), plan, source};
  const auto lines = for_each_block(
      source, plan, options.threads, options.progress,
      [&](LogBlock& block) { to_our_units(scales, block); },
      [&](const LogBlock& block, std::size_t lines_before) {
        builder.add(block, plan.first_line_number + lines_before);
      });
  if (!lines) return lines.error();
  try {
    return std::move(builder).finish();
  } catch (const std::bad_alloc&) {
    return Error{ErrorKind::Io, "the machine has not enough memory for this recording",
                 source.name(), "a recording that fits into memory",
                 "split the recording, or record at a lower rate"};
  }
}

Result<SensorRecording> read_sensor_log(const std::string& path, const SensorLogOptions& options) {
  const auto source = open_file(path, options.shown_name);
  if (!source) return source.error();
  return read_sensor_log(*source.value(), options);
}

}  // namespace qn
