// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "procedure/plan_times_internal.h"
#include "vocab/mark.h"

namespace qn::run {
namespace {

const Device* device_named(const std::vector<Device>& equipment, const std::string& name) {
  for (const Device& device : equipment) {
    if (device.name == name) return &device;
  }
  return nullptr;
}

/// "Switch X on." and "Put X to 'up'.", and what the answer says.
void word_device(const Device& device, Step& step) {
  const auto say = [&](const std::string& state) {
    const bool switched = state == "on" || state == "off";
    return switched ? fmt::format("Switch {}: {}.", state, device.name)
                    : fmt::format("{}: put it to \"{}\".", device.name, state);
  };
  const auto label = [](const std::string& state) {
    return state == "on" || state == "off" ? fmt::format("It is {}", state)
                                           : fmt::format("It is at \"{}\"", state);
  };
  step.say = say(step.state);
  step.say_back = say(step.reference);
  step.label = label(step.state);
  step.label_back = label(step.reference);
}

void word_set(Step& step) {
  const bool everything = step.device == kEverything;
  const std::string what =
      everything ? "everything" : "the set for " + step.device.substr(kPhasePrefix.size());
  step.state = "on";
  step.reference = "off";
  step.say = fmt::format("Switch on {}, all within a few seconds.", what);
  step.say_back = fmt::format("Switch off {}.", what);
  step.label = "All of it is on";
  step.label_back = "All of it is off";
}

std::size_t aim_of(Plan& plan, const std::string& device, const std::string& state) {
  for (std::size_t i = 0; i < plan.aims.size(); ++i) {
    if (plan.aims[i].device == device && plan.aims[i].state == state) return i;
  }
  plan.aims.push_back({device, state});
  return plan.aims.size() - 1;
}

Step step_of(const PlanStep& from, const std::vector<Device>& equipment, Plan& plan) {
  Step step;
  step.device = from.device;
  step.state = from.state;
  step.members = from.members;
  step.caution = from.caution;
  step.group = from.group;
  step.optional = from.optional;
  step.transit_s = from.transit_s;
  step.wait_s = from.dwell_s;
  step.lead_s = from.lead_s;
  step.rest_s = from.rest_s;
  step.trail_s = from.trail_s;
  step.longest_s = kLongestHold_s;
  for (const std::string& name : from.also_on) {
    if (const Device* helper = device_named(equipment, name)) {
      step.helpers.push_back({name, helper->states[1], helper->states[0]});
    }
  }
  const Device* device = device_named(equipment, from.device);
  if (device == nullptr) {
    word_set(step);
    step.listens = false;
    return step;
  }
  step.reference = device->states[0];
  word_device(*device, step);
  step.aim = aim_of(plan, from.device, from.state);
  // What pulses, runs or moves changes the field by itself: nothing to ask about.
  step.listens = device->kind == DeviceKind::steady;
  step.least_s = device->kind == DeviceKind::pulsing ? kLeastPulsing_s : kLeastHold_s;
  if (device->max_on_s) {
    step.device_limit_s = std::max(1.0, std::floor(*device->max_on_s - device->transit_s));
  }
  return step;
}

}  // namespace

Plan plan_of(const DisturbancePlan& from, const std::vector<Device>& equipment) {
  Plan plan;
  plan.procedure = "disturbance";
  plan.safety = from.safety;
  plan.first_rest_s = from.first_rest_s;
  plan.wanted = 0.1 * from.limit.value;
  plan.horizontal_uT = from.earth.horizontal_uT;
  plan.R_uT2_s = from.noise.R_uT2_s;
  plan.q_uT2_per_s = from.noise.q_uT2_per_s;
  plan.most_visits = kMostVisits;
  for (const Device& device : equipment) plan.devices.emplace_back(device.name, device.states);
  for (const PlanStep& step : from.steps) {
    plan.steps.push_back(step_of(step, equipment, plan));
    if (step.group >= plan.caution_of_group.size()) plan.caution_of_group.resize(step.group + 1);
    if (!step.caution.empty()) plan.caution_of_group[step.group] = step.caution;
  }
  return plan;
}

double visit_variance_uT2(double R_uT2_s, double q_uT2_per_s, double held_s, double rest_s) {
  PlanNoise noise;
  noise.R_uT2_s = R_uT2_s;
  noise.q_uT2_per_s = q_uT2_per_s;
  noise.time_scale_s = std::sqrt(R_uT2_s / q_uT2_per_s);
  return noise.visit_variance_uT2(held_s, rest_s);
}

}  // namespace qn::run
