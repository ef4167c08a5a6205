// SPDX-License-Identifier: Apache-2.0
// What stands in the rows of the disturbance table.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "report/disturbance_table.h"
#include "report/disturbance_words.h"
#include "report/figure_words.h"
#include "vocab/letters.h"

namespace qn {
namespace {

void add_sentence(std::string& text, const std::string& sentence) {
  if (sentence.empty()) return;
  text += (text.empty() ? "" : " ") + sentence;
}

std::string joined(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i)
    text += (i > 0 ? "; " : "") + names[i];  // a name may hold a comma
  return text;
}

std::array<TableCell, 3> field_cells(const UncertainField& field) {
  std::array<TableCell, 3> cells;
  for (std::size_t i = 0; i < 3; ++i) {
    cells[i] = {number_words(field.field_uT[i], 2),
                number_words(std::sqrt(std::max(0.0, field.covariance_uT2[i][i])), 3)};
  }
  return cells;
}

TableCell error_cell(Angle worst, const Band95& band) {
  // No effect is "at most", never 0.
  return {worst.in_deg() < 0.05 ? "–" : degree_words(worst), band_words(band)};
}

TableCell ampere_cell(const std::optional<PerAmpere>& per_ampere) {
  if (!per_ampere) return {};
  const Vector3& v = per_ampere->field_uT_per_A;
  const char* how = !per_ampere->proportional   ? "one current"
                    : *per_ampere->proportional ? "proportional"
                                                : "not propor.";
  return {number_words(std::hypot(v[0], v[1], v[2]), 3), how};
}

std::string pulse_words(const Pulsing& pulsing) {
  std::string text =
      fmt::format("Pulses every {} s, on for {} % of it; the figures are the mean, ",
                  number_words(pulsing.period_s, 2), number_words(100.0 * pulsing.duty, 0));
  const Vector3& peak = pulsing.peak_uT;
  if (pulsing.peak_unproven) {
    text += "the peak is too short to measure.";
  } else {
    text += "the peak is " + number_words(peak[0], 2) + ", " + number_words(peak[1], 2) + ", " +
            number_words(peak[2], 2) + " µT.";
  }
  if (pulsing.alias_periods_s.empty()) return text;
  text += " Other periods that fit as well:";
  for (std::size_t i = 0; i < pulsing.alias_periods_s.size(); ++i) {
    text += (i > 0 ? ", " : " ") + number_words(pulsing.alias_periods_s[i], 2);
  }
  return text + " s.";
}

std::string state_remark(const StateEffect& state) {
  std::string text;
  if (state.lower_bound) add_sentence(text, "The sensor was at its rail: at least this much.");
  if (state.no_effect_seen) {
    add_sentence(text, "No effect seen: a quiet device, or the step was skipped.");
  }
  for (const StateVisit& visit : state.visits) {
    if (visit.used) continue;
    add_sentence(text, "Set aside at " + clock_words(visit.from_s) + ": " +
                           (visit.remark.empty() ? "it disagrees with the others." : visit.remark));
  }
  return text;
}

}  // namespace

std::vector<TableRow> device_rows(const DisturbanceRun& run) {
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < run.devices.size(); ++i) {
    const DeviceEffect& device = run.devices[i];
    for (std::size_t k = 0; k < device.states.size(); ++k) {
      const StateEffect& state = device.states[k];
      const auto used = std::count_if(state.visits.begin(), state.visits.end(),
                                      [](const StateVisit& visit) { return visit.used; });
      TableRow row{
          .number = k == 0 ? std::to_string(i + 1) : "",
          .name = k == 0 ? capitalised(device.name) : "",
          .state = state.state,
          .field = field_cells(state.field),
          .error = error_cell(state.heading.worst, state.heading.worst_95),
          .tilted = error_cell(state.heading.worst_tilted, state.heading.worst_tilted_95),
          .worst_at = state.no_effect_seen ? "" : heading_words(state.heading.worst_at_heading_deg),
          .repeats = std::to_string(used),
          .verdict = state.verdict.state,
          .remark = state_remark(state)};
      if (k == 0) {
        row.per_ampere = ampere_cell(device.per_ampere);
        if (device.optional) row.state += ", optional";
      }
      if (k + 1 == device.states.size()) {
        if (device.pulsing) add_sentence(row.remark, pulse_words(*device.pulsing));
        for (const std::string& remark : device.remarks) add_sentence(row.remark, remark);
        row.closes = true;
      }
      rows.push_back(std::move(row));
    }
  }
  return rows;
}

std::vector<TableRow> together_rows(const DisturbanceRun& run) {
  std::vector<TableRow> rows;
  for (const CombinationEffect& one : run.combinations) {
    TableRow row{.name = phase_words(one),
                 .state = fmt::format("{} together", one.devices.size()),
                 .field = field_cells(one.field),
                 .error = error_cell(one.heading.worst, one.heading.worst_95),
                 .tilted = error_cell(one.heading.worst_tilted, one.heading.worst_tilted_95),
                 .worst_at = heading_words(one.heading.worst_at_heading_deg),
                 .verdict = one.verdict.state,
                 .remark = "On: " + joined(one.devices) + ".",
                 .closes = true};
    if (!one.worst_subset.empty()) {
      add_sentence(row.remark, "Largest, " + degree_words(one.worst_subset_error) + " (" +
                                   band_words(one.worst_subset_95) +
                                   "), with these optional ones: " + joined(one.worst_subset) +
                                   ".");
    }
    if (one.best_cure) {
      add_sentence(row.remark, "Curing " + *one.best_cure + " alone leaves " +
                                   degree_words(one.after_best_cure) + ".");
    }
    if (!one.cure_order.empty()) {
      add_sentence(row.remark,
                   "Under the limit after curing, in this order: " + joined(one.cure_order) + ".");
    }
    add_sentence(row.remark, one.verdict.because);
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace qn
