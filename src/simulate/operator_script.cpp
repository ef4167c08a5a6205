// SPDX-License-Identifier: Apache-2.0
#include "simulate/operator_script.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "simulate/random.h"

namespace qn::simulate {
namespace {

enum Stream : std::uint64_t { kOrder = 20, kTimes, kMarks, kSkips, kSubstitutes, kSpread };

struct Step {
  std::size_t device = 0;
  std::size_t state = 0;
};

class Writer {
 public:
  Writer(const std::vector<DeviceTruth>& devices, const DisturbanceSettings& settings,
         std::uint64_t seed)
      : devices_{devices},
        habits_{settings.operator_habits},
        errors_{settings.marks},
        order_{seed, kOrder},
        times_{seed, kTimes},
        marks_{seed, kMarks},
        skips_{seed, kSkips},
        substitutes_{seed, kSubstitutes},
        spread_{seed, kSpread},
        last_rest_s_(devices.size(), -std::numeric_limits<double>::infinity()) {
    out_.switches.resize(devices.size());
  }

  OperatorScript write() {
    now_s_ = drawn(habits_.lead_s);
    Step before{devices_.size(), 0};
    for (std::size_t pass = 0; pass < habits_.passes; ++pass) {
      for (const Step& step : shuffled(before)) {
        work(step);
        before = step;
      }
    }
    if (habits_.combination_dwell_s > 0.0 && !devices_.empty()) work_combinations();
    out_.end_s = now_s_ + drawn(habits_.lead_s);
    put_marks_late();
    return std::move(out_);
  }

 private:
  double drawn(const Span& span) { return times_.uniform(span.lo, span.hi); }

  /// One pass in a new order; no device twice in a row where the list allows it.
  std::vector<Step> shuffled(const Step& before) {
    std::vector<Step> steps;
    for (std::size_t d = 0; d < devices_.size(); ++d) {
      for (std::size_t s = 1; s < devices_[d].device.states.size(); ++s) steps.push_back({d, s});
    }
    for (std::size_t i = steps.size(); i > 1; --i) std::swap(steps[i - 1], steps[order_.below(i)]);
    std::size_t last = before.device;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      for (std::size_t j = i + 1; steps[i].device == last && j < steps.size(); ++j) {
        if (steps[j].device != last) std::swap(steps[i], steps[j]);
      }
      last = steps[i].device;
    }
    return steps;
  }

  std::size_t named(const std::string& name) const {
    std::size_t d = 0;
    while (d < devices_.size() && devices_[d].device.name != name) ++d;
    return d;
  }

  void mark(const std::string& device, const std::string& state, const MarkTruth& truth) {
    out_.marks.push_back({0.0, device, state, 0});
    out_.mark_truths.push_back(truth);
  }

  void put(std::size_t device, std::size_t state) {
    out_.switches[device].push_back({now_s_, device, state});
    if (state == 0) last_rest_s_[device] = now_s_ + devices_[device].device.transit_s;
  }

  /// Another device that could be mistaken for this one: stands alone and is not in use.
  std::size_t another(std::size_t device) {
    const std::size_t other = (device + 1 + substitutes_.below(devices_.size())) % devices_.size();
    const bool fits = other != device && devices_[other].device.with.empty() &&
                      devices_[device].device.with.empty() && !devices_[other].absent;
    return fits ? other : device;
  }

  /// What it needs, and what that needs in turn: to be switched on in the opposite order.
  std::vector<std::size_t> helpers_of(std::size_t device) const {
    std::vector<std::size_t> out;
    std::size_t at = device;
    while (!devices_[at].device.with.empty() && out.size() < devices_.size()) {
      at = named(devices_[at].device.with);
      if (at >= devices_.size()) break;
      out.push_back(at);
    }
    return out;
  }

  void help(std::size_t helper, std::size_t state) {
    const Device& device = devices_[helper].device;
    put(helper, state);
    mark(device.name, device.states[state], {state != 0, now_s_, now_s_ + device.transit_s});
    now_s_ += device.transit_s + drawn(habits_.rest_s);
  }

  void work(const Step& step) {
    const std::vector<std::size_t> helpers = helpers_of(step.device);
    for (auto it = helpers.rbegin(); it != helpers.rend(); ++it) help(*it, 1);
    work_alone(step);
    for (const std::size_t helper : helpers) help(helper, 0);
  }

  void work_alone(const Step& step) {
    const Device& device = devices_[step.device].device;
    MarkTruth truth;
    truth.skipped = skips_.uniform() < habits_.skipped_share;
    const bool mistaken = substitutes_.uniform() < habits_.substituted_share;
    const std::size_t mistaken_for = another(step.device);
    std::size_t worked = step.device;
    if (mistaken && !truth.skipped) worked = mistaken_for;
    if (worked != step.device) truth.worked_instead = devices_[worked].device.name;
    const Device& real = devices_[worked].device;
    const std::size_t state = std::min(step.state, real.states.size() - 1);

    now_s_ = std::max(now_s_, last_rest_s_[step.device] + device.min_rest_s.value_or(0.0));
    double dwell_s = std::max(drawn(habits_.dwell_s), device.transit_s + 6.0);
    dwell_s = std::min(dwell_s, device.max_on_s.value_or(dwell_s));
    dwell_s = std::max(dwell_s, real.transit_s);
    for (const bool away : {true, false}) {
      truth.away = away;
      truth.switch_s = now_s_;
      truth.settled_s = now_s_ + (truth.skipped ? 0.0 : real.transit_s);
      if (!truth.skipped) put(worked, away ? state : 0);
      mark(device.name, device.states[away ? step.state : 0], truth);
      now_s_ += away ? dwell_s : real.transit_s + drawn(habits_.rest_s);
    }
  }

  void work_combinations() {
    std::vector<std::size_t> all(devices_.size());
    for (std::size_t d = 0; d < all.size(); ++d) all[d] = d;
    const double from_s = now_s_;
    const double on_s = work_together(std::string{kEverything}, all);
    out_.everything_on_s.push_back({from_s, from_s + on_s});
    for (const std::string& phase : phases_of(devices_)) {
      std::vector<std::size_t> members;
      for (const std::size_t d : all) {
        if (belongs_to_phase(devices_[d].device, phase)) members.push_back(d);
      }
      work_together(std::string{kPhasePrefix} + phase, members);
    }
  }

  /// Returns how long they were on, from the first switch to the first switch back.
  double work_together(const std::string& label, const std::vector<std::size_t>& members) {
    double dwell_s = habits_.combination_dwell_s;
    double transit_s = 0.0;
    for (const std::size_t d : members) {
      const Device& device = devices_[d].device;
      transit_s = std::max(transit_s, device.transit_s);
      dwell_s = std::min(dwell_s, device.max_on_s.value_or(dwell_s));
      now_s_ = std::max(now_s_, last_rest_s_[d] + device.min_rest_s.value_or(0.0));
    }
    dwell_s = std::max(dwell_s, transit_s + habits_.combination_spread_s + 4.0);
    for (const bool away : {true, false}) {
      const double start_s = now_s_;
      double last_s = start_s;
      for (std::size_t i = 0; i < members.size(); ++i) {
        // The first is thrown at once, so that the mark has a definite moment.
        now_s_ = start_s + (i == 0 ? 0.0 : spread_.uniform(0.0, habits_.combination_spread_s));
        put(members[i], away ? 1 : 0);
        last_s = std::max(last_s, now_s_ + devices_[members[i]].device.transit_s);
      }
      mark(label, away ? "1" : "0", {away, start_s, last_s});
      now_s_ = away ? start_s + dwell_s : last_s + drawn(habits_.rest_s);
    }
    return dwell_s;
  }

  void put_marks_late() {
    constexpr double kMost_s = 8.0;
    constexpr double kBetween_s = 0.3;  // nobody presses twice in less
    constexpr double kStopwatch_per_s = 100.0;
    double earliest_s = 0.0;
    for (std::size_t m = 0; m < out_.marks.size(); ++m) {
      const double jitter = errors_.jitter_sigma_s * marks_.normal();
      const bool tail = marks_.uniform() < errors_.tail_share;
      const double far = errors_.tail_sigma_s * marks_.normal();
      const double wanted =
          std::clamp(errors_.common_delay_s + (tail ? far : jitter), -kMost_s, kMost_s);
      MarkTruth& truth = out_.mark_truths[m];
      const double pressed_s = std::max(truth.switch_s + wanted, earliest_s);
      out_.marks[m].time_s = std::round(pressed_s * kStopwatch_per_s) / kStopwatch_per_s;
      truth.lateness_s = out_.marks[m].time_s - truth.switch_s;
      earliest_s = out_.marks[m].time_s + kBetween_s;
    }
  }

  const std::vector<DeviceTruth>& devices_;
  OperatorHabits habits_;
  MarkErrors errors_;
  Random order_, times_, marks_, skips_, substitutes_, spread_;
  std::vector<double> last_rest_s_;  ///< when each came to rest
  double now_s_ = 0.0;
  OperatorScript out_;
};

}  // namespace

bool belongs_to_phase(const Device& device, const std::string& phase) {
  return std::find(device.phases.begin(), device.phases.end(), phase) != device.phases.end();
}

std::vector<std::string> phases_of(const std::vector<DeviceTruth>& devices) {
  std::vector<std::string> out;
  for (const DeviceTruth& truth : devices) {
    for (const std::string& phase : truth.device.phases) {
      if (std::find(out.begin(), out.end(), phase) == out.end()) out.push_back(phase);
    }
  }
  return out;
}

OperatorScript write_script(const std::vector<DeviceTruth>& devices,
                            const DisturbanceSettings& settings, std::uint64_t seed) {
  return Writer{devices, settings, seed}.write();
}

}  // namespace qn::simulate
