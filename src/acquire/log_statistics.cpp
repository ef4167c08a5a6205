// SPDX-License-Identifier: Apache-2.0
#include "acquire/log_statistics.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <memory>
#include <utility>

#include "acquire/csv_preamble.h"
#include "acquire/log_blocks_internal.h"
#include "acquire/running_statistics_internal.h"

namespace qn {
namespace {

// Larger sizes would overflow when squared; nothing measured comes near.
constexpr double kLargestValue = 1e100;

RunningStatistics summarise(const LogBlock& block, std::size_t slot) {
  const std::vector<double>& values = block.values[slot];
  RunningStatistics statistics;
  if (block.missing_of_slot[slot] == 0) {
    statistics.add_all(values.data(), block.rows);
    return statistics;
  }
  std::vector<double> present;
  present.reserve(block.rows);
  std::copy_if(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(block.rows),
               std::back_inserter(present), [](double v) { return !std::isnan(v); });
  statistics.add_all(present.data(), present.size());
  return statistics;
}

}  // namespace

Result<LogStatistics> log_statistics(const ByteSource& source, const SensorLogOptions& options) {
  auto preamble = read_preamble(source);
  if (!preamble) return preamble.error();
  RowPlan plan = plan_rows(std::move(preamble).value());
  for (std::size_t column = 0; column < plan.column_names.size(); ++column) {
    plan.slot_of_column[column] = static_cast<int>(column);
  }
  plan.slots.assign(
      plan.column_names.size(),
      {.limit = kLargestValue, .limit_shown = 0, .unit_shown = "", .may_hold_text = true});

  LogStatistics result;
  std::vector<RunningStatistics> totals(plan.slots.size());
  std::vector<std::size_t> missing(plan.slots.size(), 0);
  const auto lines = for_each_block(
      source, plan, options.threads, options.progress,
      [](LogBlock& block) {
        block.statistics.resize(block.values.size());
        for (std::size_t slot = 0; slot < block.values.size(); ++slot) {
          block.statistics[slot] = summarise(block, slot);
        }
      },
      [&](const LogBlock& block, std::size_t) {
        result.rows += block.rows;
        for (std::size_t slot = 0; slot < totals.size(); ++slot) {
          totals[slot].join(block.statistics[slot]);
          missing[slot] += block.missing_of_slot[slot];
        }
      });
  if (!lines) return lines.error();
  for (std::size_t slot = 0; slot < totals.size(); ++slot) {
    const RunningStatistics& s = totals[slot];
    const bool any = s.count() > 0;
    result.columns.push_back({.name = plan.column_names[slot],
                              .count = s.count(),
                              .missing = missing[slot],
                              .min = any ? s.min() : 0.0,
                              .max = any ? s.max() : 0.0,
                              .mean = any ? s.mean() : 0.0,
                              .standard_deviation = s.standard_deviation()});
  }
  return result;
}

Result<LogStatistics> log_statistics(const std::string& path, const SensorLogOptions& options) {
  const auto source = open_file(path, options.shown_name);
  if (!source) return source.error();
  return log_statistics(*source.value(), options);
}

}  // namespace qn
