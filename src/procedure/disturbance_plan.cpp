// SPDX-License-Identifier: Apache-2.0
#include "procedure/disturbance_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/plan_order_internal.h"
#include "procedure/plan_sets_internal.h"
#include "procedure/plan_times_internal.h"
#include "procedure/plan_words_internal.h"
#include "procedure/plan_work_internal.h"
#include "vocab/mark.h"

namespace qn {
namespace {

constexpr double kFirstRest_s = 60.0;
// Holds and rests of one length beat with anything that comes and goes by itself; up to a fifth is
// added to each, by a sequence that never settles.
constexpr double kVaried = 0.2;
constexpr double kGoldenFraction = 0.6180339887498949;

double varied(double seconds, std::size_t step, double longest) {
  const double turn = kGoldenFraction * static_cast<double>(step);
  return std::min(std::ceil(seconds * (1.0 + kVaried * (turn - std::floor(turn)))),
                  std::max(seconds, std::floor(longest)));
}

std::string why_of(const Device& device, const StateTimes& times, const TimeNeeds& needs) {
  if (times.dwell_s >= needs.longest_s && needs.longest_s < kLongestHold_s) {
    return fmt::format("at most {:g} s at once, so {} visits", needs.longest_s, times.visits);
  }
  if (!times.enough) return fmt::format("longest hold, {} visits: still not enough", times.visits);
  if (device.kind == DeviceKind::pulsing && times.dwell_s <= needs.least_s) {
    return "long enough to see its period";
  }
  if (times.dwell_s <= needs.least_s) return "shortest hold that marks a few seconds off allow";
  return fmt::format("long enough for {:.2f} deg after {} visits", times.half_width.in_deg(),
                     times.visits);
}

class Assembly {
 public:
  Assembly(const std::vector<Device>& equipment, const PlanOptions& options)
      : equipment_{equipment}, work_{plan_work(equipment)} {
    plan_.limit = options.limit;
    plan_.earth = options.earth;
    plan_.noise = plan_noise(options.noise_uT, options.rate_Hz);
    plan_.first_rest_s = kFirstRest_s;
    times_ = plan_times(work_.needs, plan_.noise, options);
    for (std::size_t i = 0; i < work_.items.size(); ++i) {
      PlanWork& item = work_.items[i];
      const StateTimes& times = times_.states[i];
      item.visits = times.visits;
      const Device& device = equipment_[item.device];
      plan_.states.push_back(
          {device.name, device.states[item.state], times.visits, times.half_width, times.enough});
    }
  }

  DisturbancePlan plan() {
    add_visits();
    std::size_t group = work_.groups.size() - 1;
    for (PlanStep& step : plan_sets(equipment_, plan_.noise, times_.rest_s)) {
      step.number = plan_.steps.size() + 1;
      step.pass = plan_.passes + 1;
      step.group = step.caution.empty() ? 0 : ++group;
      plan_.steps.push_back(std::move(step));
    }
    sum_up();
    return std::move(plan_);
  }

 private:
  void add_visits() {
    const std::vector<PlanVisit> order = plan_order(work_.items);
    std::size_t said = 0;  // group whose caution holds
    for (std::size_t i = 0; i < order.size(); ++i) {
      PlanStep step = visit(order[i], i);
      const bool held = i > 0 && keeps_on(order[i - 1], order[i]);
      if (held) step.lead_s = 0.0;
      if (i + 1 < order.size() && keeps_on(order[i], order[i + 1])) step.trail_s = 0.0;
      const bool new_pass = i == 0 || order[i - 1].pass != order[i].pass;
      if (step.group != 0 && (step.group != said || new_pass)) {
        step.caution = joined_caution(step.group);
      }
      said = step.group;
      step.amp_hours = amp_hours_of(equipment_[item(order[i]).device], step.dwell_s);
      for (const Device* other : helpers(order[i])) {
        step.amp_hours +=
            amp_hours_of(*other, step.lead_s + 2.0 * step.transit_s + step.dwell_s + step.rest_s);
      }
      plan_.passes = step.pass;
      plan_.steps.push_back(std::move(step));
    }
  }

  PlanStep visit(const PlanVisit& v, std::size_t index) const {
    const PlanWork& work = item(v);
    const Device& device = equipment_[work.device];
    const TimeNeeds& needs = work_.needs[v.work];
    const StateTimes& times = times_.states[v.work];
    PlanStep step;
    step.number = index + 1;
    step.pass = v.pass;
    step.group = work.group;
    step.device = device.name;
    step.state = device.states[work.state];
    step.kind = device.kind;
    step.optional = device.optional;
    step.transit_s = device.transit_s;
    step.dwell_s = varied(times.dwell_s, index, needs.longest_s);
    step.half_width = times.half_width;
    step.why = why_of(device, times, needs);
    const double rest_s = varied(times_.rest_s, index + 3, needs.longest_rest_s);
    const double own_rest_s = std::ceil(device.min_rest_s.value_or(0.0));
    step.rest_s = std::min(rest_s, needs.longest_rest_s);
    for (const Device* other : helpers(v)) {
      step.also_on.push_back(other->name);
      step.trail_s = std::max({step.trail_s, rest_s, other->min_rest_s.value_or(0.0)});
    }
    step.trail_s = std::ceil(step.trail_s);
    if (!step.also_on.empty()) step.lead_s = step.rest_s;
    const bool helper_limited = needs.longest_rest_s < times_.rest_s;
    double& resting = helper_limited ? step.trail_s : step.rest_s;
    resting = std::max(resting, own_rest_s);
    if (own_rest_s > rest_s) {
      step.why += fmt::format("; then it needs {:g} s of rest", own_rest_s);
    }
    return step;
  }

  const PlanWork& item(const PlanVisit& v) const { return work_.items[v.work]; }
  std::vector<const Device*> helpers(const PlanVisit& v) const {
    return needed_by(equipment_[item(v).device], equipment_);
  }
  /// Whether what `a` needs may stay on for `b`.
  bool keeps_on(const PlanVisit& a, const PlanVisit& b) const {
    if (item(a).together.empty() || item(a).together != item(b).together) return false;
    return !std::isfinite(shortest_helper_on_s(equipment_[item(a).device], equipment_));
  }
  std::string joined_caution(std::size_t group) const {
    std::vector<std::string> all = work_.groups[group].own;
    const std::vector<std::string>& usual = work_.groups[group].usual;
    all.insert(all.end(), usual.begin(), usual.end());
    return joined_cautions(all);
  }

  void sum_up() {
    plan_.total_s = plan_.first_rest_s;
    for (const PlanStep& step : plan_.steps) {
      plan_.total_s += step.total_s();
      plan_.amp_hours += step.amp_hours;
    }
    for (const Device& device : equipment_) {
      if (!device.current_A) plan_.current_unknown.push_back(device.name);
    }
    plan_.battery_advice = battery_advice(plan_.amp_hours, plan_.current_unknown);
    plan_.assumptions = plan_assumptions(plan_.noise);
    plan_.remarks = plan_remarks(plan_);
    for (const Device& device : equipment_) {
      if (device.max_on_s && *device.max_on_s - device.transit_s < 1.0) {
        plan_.remarks.push_back(fmt::format(
            "{} takes {:g} s to move and may be away for {:g} s: one of the two cannot be right.",
            device.name, device.transit_s, *device.max_on_s));
      }
    }
    plan_.safety = plan_safety(equipment_);
    plan_.sentence = plan_sentence(plan_);
  }

  const std::vector<Device>& equipment_;
  PlanWorkList work_;
  PlanTimes times_;
  DisturbancePlan plan_;
};

Error option_error(std::string what, std::string where, std::string expected) {
  return Error{ErrorKind::OutOfRange, std::move(what), std::move(where), std::move(expected),
               "correct the value; nothing was planned"};
}

}  // namespace

Result<DisturbancePlan> plan_disturbance(const std::vector<Device>& equipment,
                                         const PlanOptions& options) {
  if (equipment.empty()) {
    return Error{ErrorKind::BadInput, "there is no device to plan for", "the equipment list",
                 "at least one load or moving part", "add the devices to the list"};
  }
  const double limit_deg = options.limit.value.in_deg();
  if (!(limit_deg > 0.0 && limit_deg <= 90.0)) {
    return option_error(fmt::format("a limit of {:g} degrees", limit_deg), "option --limit-deg",
                        "degrees above 0, at most 90");
  }
  if (!(options.noise_uT > 0.0 && options.noise_uT <= 1000.0)) {
    return option_error(fmt::format("a noise of {:g} uT", options.noise_uT), "option --noise-uT",
                        "microtesla above 0, at most 1000");
  }
  if (!(options.rate_Hz > 0.0 && options.rate_Hz <= 1e6)) {
    return option_error(fmt::format("{:g} samples a second", options.rate_Hz), "option --rate-Hz",
                        "samples a second above 0, at most 1000000");
  }
  if (!(options.earth.horizontal_uT > 0.0)) {
    return option_error(fmt::format("a horizontal field of {:g} uT", options.earth.horizontal_uT),
                        "option --horizontal-uT", "microtesla above 0");
  }
  return Assembly{equipment, options}.plan();
}

}  // namespace qn
