// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/run_steps_internal.h"
#include "procedure/run_swing.h"
#include "procedure/run_swing_internal.h"
#include "procedure/run_turning.h"
#include "procedure/swing_compass_internal.h"

namespace qn::run {
namespace {

constexpr std::size_t kMostWanted = 4;  // further stations of one swing
constexpr std::size_t kAtOnce = 2;
// A curve known to a quarter of its limit decides about any compass but one close to the limit.
constexpr double kShareOfLimit = 0.25;
constexpr double kUsualLimit_deg = 10.0;  // where none was given: only to choose what is wide

/// Nothing is left to be read but what was wanted before.
bool at_the_end(const State& s) {
  for (std::size_t i = s.act + 1; i < s.acts.size(); ++i) {
    if (s.acts[i].kind == Act::Kind::read) return false;
  }
  for (std::size_t i = s.at + 1; i < s.todo.size(); ++i) {
    if (!s.todo[i].done && !is_absent(s, s.plan->steps[s.todo[i].step].device)) return false;
  }
  return s.leaving_read;
}

struct Station {
  std::string device, state;
};

/// Stations of readings of which one is probably wrong, and nobody knows which.
std::vector<Station> suspect_stations(const State& s, const SwingSolution& solution,
                                      const std::vector<SwingReading>& readings) {
  std::vector<Station> out;
  for (const SwingCompass& compass : solution.compasses) {
    for (const DoubtfulReading& suspect : compass.suspects) {
      const SwingReading& r = readings[suspect.row];
      const bool visited_again =
          std::any_of(readings.begin(), readings.end(), [&](const SwingReading& other) {
            return other.station_deg == r.station_deg && other.turn == r.turn && other.repeat > 0;
          });
      const std::string device = station_name(r.station_deg);
      const bool known =
          std::any_of(out.begin(), out.end(), [&](const Station& o) { return o.device == device; });
      if (visited_again || known || is_absent(s, device) || out.size() == kAtOnce) continue;
      for (const Step& step : s.plan->steps) {
        if (step.device == device && swing_turn_of(step.state) == r.turn) {
          out.push_back({device, step.state});
          break;
        }
      }
    }
  }
  return out;
}

std::vector<Station> wide_stations(const State& s, const SwingSolution& solution,
                                   const SwingOptions& options) {
  std::vector<double> candidates_deg;
  for (const Step& step : s.plan->steps) {
    const auto deg = station_of(step.device);
    if (deg && swing_turn_of(step.state) == SwingTurn::clockwise && !is_absent(s, step.device))
      candidates_deg.push_back(*deg);
  }
  for (const SwingCompass& compass : solution.compasses) {
    if (!compass.solved) continue;
    const auto limit = swing_limit_for(compass.name, options);
    const double limit_deg = limit ? limit->value.in_deg() : kUsualLimit_deg;
    const auto found =
        settling_stations(compass, options, kShareOfLimit * limit_deg, candidates_deg);
    if (found.empty()) continue;
    std::vector<Station> out;
    for (const double deg : found) out.push_back({station_name(deg), "cw"});
    return out;
  }
  return {};
}

}  // namespace

SwingOptions options_for(const SwingOptions& options, const std::vector<SwingReading>& readings) {
  SwingOptions out = options;
  std::erase_if(out.limits, [&](const auto& limit) {
    SwingOptions one;
    one.limits = {limit};
    return check_swing(readings, one).has_value();
  });
  return out;
}

std::vector<Event> weigh_swing(const State& s, const SwingOptions& options) {
  std::vector<Event> events;
  const auto readings = swing_readings_of(s);
  const SwingOptions usable = options_for(options, readings);
  const auto solution = solve_swing(readings, usable);
  if (solution) {
    if (auto doubt = doubt_of(s, solution.value(), readings, usable)) {
      events.push_back(std::move(*doubt));
    } else if (at_the_end(s)) {
      const auto wanted_before = static_cast<std::size_t>(std::count_if(
          s.todo.begin(), s.todo.end(), [](const Todo& todo) { return todo.wanted; }));
      auto stations = suspect_stations(s, solution.value(), readings);
      if (stations.empty()) stations = wide_stations(s, solution.value(), usable);
      for (const Station& station : stations) {
        if (wanted_before + events.size() >= kMostWanted) break;
        Event event = said(EventKind::wanted, s.now_s);
        event.device = station.device;
        event.state = station.state;
        events.push_back(std::move(event));
      }
    }
  }
  events.push_back(said(EventKind::weighed, s.now_s));
  return events;
}

}  // namespace qn::run
