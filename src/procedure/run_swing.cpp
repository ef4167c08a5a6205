// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_swing.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <set>
#include <utility>

#include "procedure/run_reads_internal.h"
#include "procedure/run_steps_internal.h"
#include "procedure/run_swing_internal.h"
#include "procedure/run_turning.h"
#include "procedure/swing_plan.h"
#include "vocab/heading.h"

namespace qn::run {
namespace {

constexpr const char* kClockwise = "cw";
constexpr const char* kBack = "ccw";
constexpr const char* kLoads = "all loads";
constexpr int kSpareStep_deg = 30;  // marks that any rose has

constexpr const char* kSafety =
    "This plan advises. The aircraft's papers, the local rules and the licensed person who signs "
    "decide how it may be moved. Propeller: nobody in front of it or beside its arc. By hand only "
    "with the engine stopped: ignition off, key out, throttle closed, one person at the brakes. "
    "Engine running: brakes held, chocks in, signals agreed before. Doors, flaps and seats as in "
    "flight, level attitude; steel, phones and tools away from the compasses and out of pockets.";

std::optional<Error> fault_of(const SwingRunOptions& options) {
  const auto wrong = [](std::string what, const char* where, const char* expected) {
    return Error{ErrorKind::OutOfRange, std::move(what), where, expected,
                 "correct it; nothing was begun"};
  };
  if (options.compasses.empty()) {
    return wrong("no compass is named", "option --compass", "a name for each that is read");
  }
  std::set<std::string> names;
  std::size_t by_link = 0;
  for (const SwingRunCompass& compass : options.compasses) {
    if (compass.name.empty() || compass.name.find_first_of(",;\"\n\r#") != std::string::npos) {
      return wrong(fmt::format("'{}' cannot be a name", compass.name), "option --compass",
                   "letters, digits and blanks");
    }
    if (!names.insert(compass.name).second) {
      return wrong(fmt::format("two compasses are called '{}'", compass.name), "option --compass",
                   "a name of its own for each");
    }
    by_link += compass.by_link ? 1 : 0;
  }
  if (by_link > 1) {
    return wrong("two compasses are taken from the link", "option --from-link", "one at most");
  }
  for (const std::string& loads : options.loads) {
    if (loads != "off" && loads != "on") {
      return wrong(fmt::format("'{}' is no state of the loads", loads), "option --loads",
                   "off, on, or off,on");
    }
  }
  if (!(options.hold_s > 0.0 && options.hold_s <= 600.0)) {
    return wrong(fmt::format("a hold of {:g} s", options.hold_s), "option --hold-s",
                 "more than 0, at most 600 seconds");
  }
  return std::nullopt;
}

std::string turning_words(const std::string& name, const SwingStop& stop) {
  const bool clockwise = stop.turn == SwingTurn::clockwise;
  std::string words = fmt::format("Turn {} to {} and let it stand.",
                                  clockwise ? "clockwise" : "counter-clockwise", name);
  if (!stop.note.empty()) {
    words +=
        fmt::format(" {}{}.", static_cast<char>(std::toupper(stop.note[0])), stop.note.substr(1));
  }
  return words;
}

std::string question(const std::string& compass, const std::string& station,
                     const std::string& loads) {
  return fmt::format("What does the {} show on {}{}?", compass, station,
                     loads.empty() ? "" : ", loads " + loads);
}

Step station_step(const SwingStop& stop, const SwingRunOptions& options) {
  Step step;
  step.device = station_name(stop.station_deg);
  step.state = stop.turn == SwingTurn::clockwise ? kClockwise : kBack;
  step.say = turning_words(step.device, stop);
  step.label = fmt::format("It stands on {}", step.device);
  step.listens = false;
  step.offers = false;
  step.place = true;
  step.wait_s = options.hold_s;
  const std::vector<std::string> none = {""};
  for (const std::string& loads : options.loads.empty() ? none : options.loads) {
    for (const SwingRunCompass& compass : options.compasses) {
      step.reads.push_back(
          {compass.name, loads, question(compass.name, step.device, loads), compass.by_link});
    }
  }
  return step;
}

void add_step(Plan& plan, const SwingStop& stop, const SwingRunOptions& options) {
  plan.steps.push_back(station_step(stop, options));
  const std::string& device = plan.steps.back().device;
  const bool known = std::any_of(plan.devices.begin(), plan.devices.end(),
                                 [&](const auto& d) { return d.first == device; });
  if (!known) plan.devices.emplace_back(device, std::vector<std::string>{"", kClockwise, kBack});
}

}  // namespace

SwingTurn swing_turn_of(const std::string& state) {
  if (state == kClockwise) return SwingTurn::clockwise;
  return state == kBack ? SwingTurn::counterclockwise : SwingTurn::unknown;
}

Result<Plan> swing_run_plan(const SwingRunOptions& options) {
  if (auto fault = fault_of(options)) return std::move(*fault);
  SwingPlanOptions planning;
  planning.stations = options.stations;
  planning.both_turns = options.both_turns;
  planning.hold_s = options.hold_s;
  planning.swing = options.solving;
  auto stops = plan_swing(planning);
  if (!stops) return stops.error();
  Plan plan;
  plan.procedure = "swing";
  plan.safety = kSafety;
  plan.first_rest_s = 0.0;
  plan.by_time = true;
  plan.loads = kLoads;
  plan.wanted = Angle::degrees(90.0);  // no wait depends on a width
  plan.R_uT2_s = 0.01;
  plan.q_uT2_per_s = 1e-4;
  plan.caution_of_group = {""};
  for (SwingStop stop : stops.value().stops) {
    // How near to north the first stop must be is said by the sheet of the plan.
    if (stop.number == 1) stop.note = "come to it from 340 or before";
    add_step(plan, stop, options);
  }
  const std::size_t planned = plan.steps.size();
  for (int deg = 0; deg < 360; deg += kSpareStep_deg) {
    const std::string name = station_name(deg);
    const bool known = std::any_of(plan.steps.begin(), plan.steps.end(),
                                   [&](const Step& s) { return s.device == name; });
    if (!known) add_step(plan, {0, static_cast<double>(deg), SwingTurn::clockwise, ""}, options);
  }
  plan.spare = plan.steps.size() - planned;
  plan.weigh = [solving = options.solving](const State& state) {
    return weigh_swing(state, solving);
  };
  return plan;
}

std::string visit_name(const Read& read) { return read_name(read.step, read.state, read.loads); }

std::vector<const Read*> kept_reads(const State& state) {
  std::vector<const Read*> out;
  for (const Read& read : state.reads) {
    if (read.kept && station_of(read.step)) out.push_back(&read);
  }
  // What was read again stands where it was read first.
  const auto place = [&](const Read* read) {
    const auto first = std::find_if(state.reads.begin(), state.reads.end(),
                                    [&](const Read& r) { return same_question(r, *read); });
    return std::pair{read->todo, first - state.reads.begin()};
  };
  std::sort(out.begin(), out.end(),
            [&](const Read* a, const Read* b) { return place(a) < place(b); });
  return out;
}

std::vector<SwingReading> swing_readings_of(const State& state) {
  const auto reads = kept_reads(state);
  std::vector<SwingReading> out;
  for (const Read* read : reads) {
    SwingReading reading;
    reading.station_deg = *station_of(read->step);
    reading.indicated_deg = wrap_360_deg(read->number);
    reading.compass = read->device;
    reading.turn = swing_turn_of(read->state);
    reading.loads = read->loads;
    reading.roll_deg = reading.pitch_deg = std::numeric_limits<double>::quiet_NaN();
    reading.row = out.size();
    if (read->sigma > 0.0) reading.own_sigma_deg = read->sigma;
    std::set<std::size_t> earlier;  // visits of this mark in this turn
    for (std::size_t i = 0; i < out.size(); ++i) {
      const bool same = reads[i]->step == read->step && reads[i]->state == read->state;
      if (same && reads[i]->todo != read->todo) earlier.insert(reads[i]->todo);
    }
    reading.repeat = static_cast<int>(earlier.size());
    out.push_back(std::move(reading));
  }
  return out;
}

}  // namespace qn::run
