// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "app/finish_run.h"
#include "procedure/run_swing.h"
#include "procedure/run_turning.h"

namespace qn {
namespace {

std::string turn_word(SwingTurn turn) {
  if (turn == SwingTurn::clockwise) return "cw";
  return turn == SwingTurn::counterclockwise ? "ccw" : "";
}

/// What was read first and then again, for whoever reads the file; the solution does not.
std::string read_again(const run::State& state) {
  std::string text;
  for (std::size_t i = 0; i < state.reads.size(); ++i) {
    const run::Read& first = state.reads[i];
    if (first.kept) continue;
    const auto later = std::find_if(state.reads.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                                    state.reads.end(), [&](const run::Read& r) {
                                      return r.todo == first.todo && r.device == first.device &&
                                             r.loads == first.loads;
                                    });
    if (later == state.reads.end()) continue;
    text += fmt::format("# read again on {} {}{}: {}, first {}, then {}\n", first.step, first.state,
                        first.loads.empty() ? "" : ", loads " + first.loads, first.device,
                        first.number, later->number);
  }
  return text;
}

/// Marks of the plan that were passed by, or left without any reading, in the order of the plan.
std::vector<std::string> marks_left_out(const run::State& state) {
  std::vector<std::string> out;
  const auto reads = run::kept_reads(state);
  for (const run::Todo& todo : state.todo) {
    const std::string& mark = state.plan->steps[todo.step].device;
    const bool absent =
        std::find(state.absent.begin(), state.absent.end(), mark) != state.absent.end();
    const bool read = std::any_of(reads.begin(), reads.end(),
                                  [&](const run::Read* r) { return r->step == mark; });
    const bool known = std::find(out.begin(), out.end(), mark) != out.end();
    if ((absent || todo.done) && !read && !known) out.push_back(mark);
  }
  return out;
}

}  // namespace

std::string swing_stations_csv(const run::State& state) {
  const auto readings = run::swing_readings_of(state);
  const auto any = [&](auto&& has) { return std::any_of(readings.begin(), readings.end(), has); };
  const bool loads = any([](const SwingReading& r) { return !r.loads.empty(); });
  const bool sigmas = any([](const SwingReading& r) { return r.own_sigma_deg > 0.0; });
  std::string csv = read_again(state) + "station_deg,turn,repeat,compass,indicated_deg";
  csv += fmt::format("{}{}\n", loads ? ",loads" : "", sigmas ? ",reading_sigma_deg" : "");
  for (const SwingReading& r : readings) {
    csv += fmt::format("{},{},{},{},{}", r.station_deg, turn_word(r.turn), r.repeat, r.compass,
                       r.indicated_deg);
    if (loads) csv += "," + r.loads;
    if (sigmas) csv += r.own_sigma_deg > 0.0 ? fmt::format(",{}", r.own_sigma_deg) : ",";
    csv += "\n";
  }
  // A row without a reading: the solution says that nothing was read there.
  for (const std::string& mark : marks_left_out(state)) {
    csv += fmt::format("{},,,,{}{}\n", *run::station_of(mark), loads ? "," : "", sigmas ? "," : "");
  }
  return csv;
}

}  // namespace qn
