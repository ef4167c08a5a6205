// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/run_steps_internal.h"
#include "procedure/run_swing.h"
#include "procedure/run_swing_internal.h"
#include "procedure/run_turning.h"
#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn::run {
namespace {

constexpr std::size_t kMostWanted = 4;  // further stations of one swing
constexpr std::size_t kAtOnce = 2;
constexpr std::size_t kAsked = 3;  // so often one compass is read on one visit at the most
// A curve known to a quarter of its limit decides about any compass but one close to the limit.
constexpr double kShareOfLimit = 0.25;
constexpr double kUsualLimit_deg = 10.0;  // where none was given: only to choose what is wide

// A second look costs seconds, a misreading the swing: asked for when the reading is so many
// standard deviations from what the others foretell.
constexpr double kSurprising = 2.5;

const SwingCompass* solved_for(const SwingSolution& solution, const Read& read) {
  for (const SwingCompass& compass : solution.compasses) {
    if (compass.name == read.device && compass.loads == read.loads) return &compass;
  }
  return nullptr;
}

/// What the other readings of its compass foretell for it, when it is far from that.
std::optional<double> foretold_otherwise(const SwingReading& reading,
                                         std::vector<SwingReading> others,
                                         const SwingOptions& options) {
  std::erase_if(others, [&](const SwingReading& r) {
    return r.row == reading.row || r.compass != reading.compass || r.loads != reading.loads;
  });
  const auto solved = solve_swing(others, options_for(options, others));
  if (!solved || !solved.value().compasses.front().solved) return std::nullopt;
  const SwingCompass& c = solved.value().compasses.front();
  const SwingSettings settings = settings_of(options);
  const auto curve = c.curve.at(reading.indicated_deg);
  double variance = 0.0;
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) {
      variance += curve.per_coefficient[i] * c.covariance_deg2[i][j] * curve.per_coefficient[j];
    }
  }
  // An error of north is in this reading as in the others.
  variance -= settings.north_sigma_deg * settings.north_sigma_deg;
  const double noise = std::max(settings.prior.sigma(curve.slope), c.noise_deg);
  variance += noise * noise + std::pow(settings.prior.rounding_deg, 2) / 12.0;
  const bool other_turn = std::none_of(
      others.begin(), others.end(), [&](const SwingReading& r) { return r.turn == reading.turn; });
  if (other_turn) variance += std::pow(settings.hysteresis_sigma_deg, 2);
  const double off =
      wrap_180_deg(reading.station_deg - reading.indicated_deg - curve.deviation_deg);
  if (std::fabs(off) < kSurprising * std::sqrt(variance)) return std::nullopt;
  return wrap_360_deg(indicated_on(c.curve, reading.station_deg, reading.station_deg));
}

const DoubtfulReading* doubt_about(const SwingCompass& compass, std::size_t row) {
  for (const auto* list : {&compass.gross, &compass.suspects}) {
    for (const DoubtfulReading& doubtful : *list) {
      if (doubtful.row == row) return &doubtful;
    }
  }
  return nullptr;
}

std::size_t times_read(const State& s, const Read& read) {
  return static_cast<std::size_t>(
      std::count_if(s.reads.begin(), s.reads.end(), [&](const Read& other) {
        return other.todo == read.todo && other.device == read.device && other.loads == read.loads;
      }));
}

/// The reading just taken, when it does not fit those before.
std::optional<Event> doubt_of(const State& s, const SwingSolution& solution,
                              const std::vector<SwingReading>& readings,
                              const SwingOptions& options) {
  if (!s.leaving_read || s.reads.empty() || readings.empty()) return std::nullopt;
  const Read& read = s.reads.back();
  if (read.todo != s.at || read.confirmed || read.doubted || times_read(s, read) >= kAsked) {
    return std::nullopt;
  }
  const auto reads = kept_reads(s);
  const auto found = std::find(reads.begin(), reads.end(), &read);
  if (found == reads.end()) return std::nullopt;
  const SwingReading& reading = readings[static_cast<std::size_t>(found - reads.begin())];
  const SwingCompass* compass = solved_for(solution, read);
  if (compass == nullptr || !compass->solved) return std::nullopt;
  std::optional<double> expected_deg = foretold_otherwise(reading, readings, options);
  if (const DoubtfulReading* doubtful = doubt_about(*compass, reading.row)) {
    expected_deg = doubtful->expected_deg;
  }
  if (!expected_deg) return std::nullopt;
  Event event = said(EventKind::doubt, s.now_s);
  event.device = read.device;
  event.state = read_name(read.step, read.state, read.loads);
  event.number = std::round(*expected_deg);
  return event;
}

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
