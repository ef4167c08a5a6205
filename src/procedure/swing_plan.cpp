// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_compass_internal.h"
#include "procedure/swing_interval_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr std::array<int, 4> kStations = {8, 12, 16, 24};
constexpr std::size_t kMostStates = 6;
constexpr std::size_t kDraws = 800;
constexpr unsigned kSeed = 20260603;
constexpr double kNoOpinion_deg = 1e4;

std::optional<Error> check_number(const char* option, double value, double most) {
  if (value > 0.0 && value <= most) return std::nullopt;
  return Error{ErrorKind::OutOfRange, fmt::format("{:g} cannot be used for {}", value, option),
               fmt::format("option {}", option), fmt::format("more than 0, at most {:g}", most),
               "leave the option out to use what is usual"};
}

std::optional<Error> check_plan(const SwingPlanOptions& options) {
  if (std::find(kStations.begin(), kStations.end(), options.stations) == kStations.end()) {
    return Error{ErrorKind::OutOfRange, fmt::format("{} stations", options.stations),
                 "option --stations", "8, 12, 16 or 24",
                 "choose 12 unless the rose has other marks"};
  }
  if (auto e = check_number("--first-heading-tolerance-deg", options.first_heading_tolerance_deg,
                            45.0)) {
    return e;
  }
  if (options.loads.empty() || options.loads.size() > kMostStates) {
    return Error{ErrorKind::OutOfRange, fmt::format("{} states of the loads", options.loads.size()),
                 "option --loads", fmt::format("1 to {} states: off,on", kMostStates),
                 "plan further states as a swing of their own"};
  }
  if (auto e = check_number("--hold-s", options.hold_s, 3600.0)) return e;
  if (auto e = check_number("--move-s", options.move_s, 3600.0)) return e;
  return check_swing_options(options.swing);
}

/// Fisher information of all stops on A..E and half the difference of the turns, inverted.
SquareMatrix expected_covariance(int stations, bool both_turns, const SwingSettings& settings) {
  const DeviationCurve curve{DeviationForm::series, SwingCoefficients{kPlannedCompass_deg}};
  NormalEquations equations{kSwingParameters};
  for (int turn = 0; turn < (both_turns ? 2 : 1); ++turn) {
    for (int k = 0; k < stations; ++k) {
      const double station = 360.0 / stations * k;
      const SwingParameters theta{kPlannedCompass_deg[0], kPlannedCompass_deg[1],
                                  kPlannedCompass_deg[2], kPlannedCompass_deg[3],
                                  kPlannedCompass_deg[4], 0.0};
      const SwingRow row{station, indicated_on(curve, station, station), turn == 0 ? 1.0 : -1.0};
      const SwingRowView view = view_row(row, DeviationForm::series, theta, settings.prior);
      const double information = rounded_information(view.sigma_deg, settings.prior.rounding_deg);
      equations.add_row({view.gradient.begin(), view.gradient.end()}, 0.0,
                        1.0 / std::sqrt(information));
    }
  }
  const double half_turns = both_turns ? kNoOpinion_deg : 0.5 * settings.hysteresis_sigma_deg;
  equations.information(5, 5) += 1.0 / (half_turns * half_turns);
  return inverse(equations.information);
}

SwingChoice choice_of(int stations, bool both_turns, const SwingPlanOptions& options) {
  const SwingSettings settings = settings_of(options.swing);
  SwingChoice out;
  out.stations = stations;
  out.both_turns = both_turns;
  out.readings = stations * (both_turns ? 2 : 1);
  out.minutes = out.readings *
                (options.move_s + static_cast<double>(options.loads.size()) * options.hold_s) /
                60.0;
  out.chosen = stations == options.stations && both_turns == options.both_turns;
  const SquareMatrix all = expected_covariance(stations, both_turns, settings);
  SquareMatrix covariance{5};
  // The size of the noise is learnt from what is left over, hence Student's law for it; north is
  // learnt from nothing.
  const double spare = out.readings - (both_turns ? 6.0 : 5.0);
  const double believed = settings.sizes_given ? settings.prior.noise_dof : assumed_dof(spare);
  const double t = student_95(believed + std::max(0.0, spare));
  const double wider = t / student_95(1e9);
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) covariance(i, j) = wider * wider * all(i, j);
  }
  covariance(0, 0) += settings.north_sigma_deg * settings.north_sigma_deg;
  for (std::size_t j = 0; j < 5; ++j) {
    out.half_95_deg[j] = student_95(1e9) * std::sqrt(covariance(j, j));
  }
  const DeviationCurve curve{DeviationForm::series, SwingCoefficients{kPlannedCompass_deg}};
  std::vector<double> draws = gaussian_draws(covariance, kDraws, kSeed);
  for (std::size_t i = 0; i < draws.size(); ++i) draws[i] += kPlannedCompass_deg[i % 5];
  out.worst_95_deg = shape_of(curve, draws).worst_95_deg;
  return out;
}

std::vector<SwingStop> stops_of(const SwingPlanOptions& options) {
  std::vector<SwingStop> out;
  const double step = 360.0 / options.stations;
  const auto add = [&](double station_deg, SwingTurn turn) {
    out.push_back({static_cast<int>(out.size()) + 1, wrap_360_deg(station_deg), turn, ""});
  };
  for (int k = 0; k < options.stations; ++k) add(step * k, SwingTurn::clockwise);
  out.front().note = fmt::format(
      "come to it turning clockwise, from 340 or before; within {:g} deg of north will do, as long "
      "as the heading it stands on is written down",
      options.first_heading_tolerance_deg);
  if (!options.both_turns) return out;
  const std::size_t back = out.size();
  for (int k = 0; k < options.stations; ++k) add(-step * k, SwingTurn::counterclockwise);
  out[back].note = "go on clockwise past north to 020, then come back to it: the lag is taken up";
  return out;
}

std::string loads_words(const SwingPlanOptions& o) {
  if (o.loads.size() == 1) {
    return fmt::format(
        "Loads: {} throughout; what the others do needs a swing of its own (--loads).",
        o.loads.front());
  }
  std::string order;
  for (const std::string& state : o.loads) order += (order.empty() ? "" : ", then ") + state;
  return fmt::format(
      "Loads: {} on the same mark before the next one, {:.0f} s each, written in the column "
      "loads{}.",
      order, o.hold_s,
      order == "off, then on" ? " (on: all lights, heaters, radios; or by name, pitot+strobe)"
                              : "");
}

void fill_plan_words(SwingPlan& plan) {
  const SwingPlanOptions& o = plan.options;
  plan.before = {
      "Away from steel, vehicles, hangars and buried iron; the marks checked for north on the day.",
      "Everything as in flight: engine and equipment that will run, doors and canopy closed, "
      "seats, "
      "flaps and controls where they are in cruise, the same person on the same seat.",
      "Level flight attitude: the tail of a tail-wheel aircraft is put up, else note roll and "
      "pitch.",
      "No tools, phones, headsets, knives or keys near the compass or in the pockets of those who "
      "push.",
      "Engine: running at the speed where the generator charges, if the card is to say so; stopped "
      "is a swing of its own.",
      loads_words(o),
      "Remote sensor: its own correction done before, and the date of it noted."};
  plan.at_each = {
      fmt::format("Stop with the wheels on the mark, wheels straight, and hold still for {:.0f} s.",
                  o.hold_s),
      "Tap the liquid compass lightly. Read it with the eye square before the lubber line.",
      "Read every compass before anyone speaks of the number that was expected.",
      "Write what was read, to the step that can be read, and the turn (cw or ccw).",
      "Stands the aircraft beside the mark, write the heading it stands on as station_deg."};
  plan.cautions = {
      "Propeller: nobody in front of it or beside its arc while the engine runs. With the engine "
      "running the pilot taxies from mark to mark; by hand the aircraft is moved only with the "
      "engine "
      "stopped: magnetos off, key out, throttle closed.",
      "Engine running: brakes held, chocks in, fire extinguisher at hand, one person outside who "
      "can "
      "be seen, signals agreed before.",
      "Tail put up: a stand that cannot slip, one person at it, nobody under the wing.",
      "Turning by hand: one person says when, wing tips watched, no steel tow bar left on."};
  plan.remarks = {
      "The order and the times are common practice, no published source. So is the first heading "
      "within 5 deg of north; this program uses the heading the aircraft really stands on.",
      "Both directions: only then can a lag of the compass be told from A. Once: it stands in A's "
      "band.",
      "A reading wrong by 10 degrees is named in 99.8 % of simulated swings of 12 or more marks, "
      "rounded to 1 degree or finer; with fewer marks or coarser readings a wrong one is named or "
      "in question in 98.5 %."};
}

std::string sentence_of(const SwingPlan& plan) {
  const auto chosen = std::find_if(plan.choices.begin(), plan.choices.end(),
                                   [](const SwingChoice& c) { return c.chosen; });
  return fmt::format(
      "{} stations {}{} take {:.0f} minutes; A will be known to {:.1f} degrees, B and C to {:.1f}, "
      "D "
      "and E to {:.1f} (95 %), and a largest deviation of {:.1f} will be known as {:.1f} to "
      "{:.1f}.",
      chosen->stations, chosen->both_turns ? "both ways" : "once around",
      plan.options.loads.size() == 1
          ? std::string{}
          : fmt::format(", {} states of the loads on each,", plan.options.loads.size()),
      chosen->minutes, chosen->half_95_deg[0],
      std::max(chosen->half_95_deg[1], chosen->half_95_deg[2]),
      std::max(chosen->half_95_deg[3], chosen->half_95_deg[4]), plan.planned_worst_deg,
      chosen->worst_95_deg.first, chosen->worst_95_deg.second);
}

}  // namespace

Result<SwingPlan> plan_swing(const SwingPlanOptions& options) {
  if (auto wrong = check_plan(options)) return *wrong;
  SwingPlan out;
  out.options = options;
  out.stops = stops_of(options);
  for (const int stations : kStations) {
    for (const bool both : {false, true}) out.choices.push_back(choice_of(stations, both, options));
  }
  const DeviationCurve curve{DeviationForm::series, SwingCoefficients{kPlannedCompass_deg}};
  for (int z = 0; z < 360; z += 5) {
    out.planned_worst_deg = std::max(out.planned_worst_deg, std::fabs(curve.deviation_deg(z)));
  }
  out.assumptions = swing_assumptions(options.swing);
  fill_plan_words(out);
  const SwingSettings settings = settings_of(options.swing);
  if (settings.prior.rounding_deg > 3.0 * settings.prior.sigma(0.0)) {
    out.remarks.push_back(
        "Readings are rounded far more coarsely than they scatter: what they tell depends on where "
        "they fall between two steps, and the bands of the swing itself may be half or twice "
        "these. "
        "Read between the marks of the card.");
  }
  out.sentence = sentence_of(out);
  return out;
}

}  // namespace qn
