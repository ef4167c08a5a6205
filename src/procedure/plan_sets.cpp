// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "procedure/plan_sets_internal.h"
#include "procedure/plan_times_internal.h"
#include "procedure/plan_words_internal.h"
#include "vocab/letters.h"
#include "vocab/mark.h"

namespace qn {
namespace {

using Members = std::vector<const Device*>;

constexpr std::array<std::string_view, 7> kFlight = {"start", "taxi",     "take-off", "cruise",
                                                     "night", "approach", "landing"};

/// Phases as they are first written, those of every flight in its order, own words after them.
std::vector<std::string> phases_of(const std::vector<Device>& equipment) {
  std::vector<std::string> phases;
  for (const Device& device : equipment) {
    for (const std::string& phase : device.phases) {
      const bool known = std::any_of(phases.begin(), phases.end(), [&](const std::string& p) {
        return lower_case(p) == lower_case(phase);
      });
      if (!known) phases.push_back(phase);
    }
  }
  const auto rank = [](const std::string& phase) {
    return std::find(kFlight.begin(), kFlight.end(), lower_case(phase)) - kFlight.begin();
  };
  std::stable_sort(phases.begin(), phases.end(),
                   [&](const std::string& a, const std::string& b) { return rank(a) < rank(b); });
  return phases;
}

Members in_phase(const std::vector<Device>& equipment, const std::string& phase) {
  Members members;
  for (const Device& device : equipment) {
    for (const std::string& p : device.phases) {
      if (lower_case(p) == lower_case(phase)) {
        members.push_back(&device);
        break;
      }
    }
  }
  return members;
}

std::string set_caution(const Members& members) {
  std::vector<std::string> cautions;
  std::vector<std::string> lifted;
  bool engine = false;
  for (const Device* device : members) {
    cautions.push_back(device->caution);
    engine = engine || device->kind == DeviceKind::engine;
    if (device->kind == DeviceKind::moving) lifted.push_back(device->name);
  }
  for (const Device* device : members) cautions.push_back(usual_caution(device->kind));
  if (engine && !lifted.empty()) {
    cautions.push_back(
        fmt::format("This set has the engine running and moves {}. Skip it unless both can be done "
                    "safely together; the sum of the single steps then stands for it.",
                    lifted.size() == 1 ? lifted[0] : lifted[0] + " and more"));
  }
  return joined_cautions(cautions);
}

bool engine_with_moving(const Members& members) {
  const auto has = [&](DeviceKind kind) {
    return std::any_of(members.begin(), members.end(),
                       [&](const Device* d) { return d->kind == kind; });
  };
  return has(DeviceKind::engine) && has(DeviceKind::moving);
}

bool holds(const Members& members, const Device* device) {
  return std::find(members.begin(), members.end(), device) != members.end();
}

/// What the members need and is not one of them, each once, in the order it is switched on.
Members needed_besides(const Members& members, const std::vector<Device>& equipment) {
  Members needed;
  for (const Device* device : members) {
    for (const Device* other : needed_by(*device, equipment)) {
      if (!holds(members, other) && !holds(needed, other)) needed.push_back(other);
    }
  }
  return needed;
}

/// Longest time all of them may be held together, and who sets it (nobody: null).
struct SharedHold {
  double longest_s = kLongestHold_s;
  const Device* set_by = nullptr;

  void limit(double seconds, const Device* device) {
    if (seconds >= longest_s) return;
    longest_s = std::max(1.0, std::floor(seconds));
    set_by = device;
  }
};

void add_members(PlanStep& step, const Members& members) {
  for (const Device* device : members) {
    std::string about = device->states[1] == "on" ? "" : device->states[1];
    if (device->optional) about += about.empty() ? "if fitted" : ", if fitted";
    step.members.push_back(about.empty() ? device->name
                                         : fmt::format("{} ({})", device->name, about));
    step.transit_s = std::max(step.transit_s, device->transit_s);
    step.rest_s = std::max(step.rest_s, std::ceil(device->min_rest_s.value_or(0.0)));
  }
  const bool all_optional =
      std::all_of(members.begin(), members.end(), [](const Device* d) { return d->optional; });
  step.optional = all_optional || engine_with_moving(members);
}

PlanStep set_step(const std::string& name, const Members& members,
                  const std::vector<Device>& equipment, const PlanNoise& noise, double rest_s) {
  PlanStep step;
  step.device = name;
  step.state = std::string{"1"};
  step.caution = set_caution(members);
  step.rest_s = std::ceil(rest_s);
  add_members(step, members);
  const Members needed = needed_besides(members, equipment);
  SharedHold hold;
  for (const Device* device : members) {  // switched last, so that only its own transit counts
    if (device->max_on_s) hold.limit(*device->max_on_s - device->transit_s, device);
  }
  for (const Device* device : needed) {  // on for a rest, the set and a rest
    if (!device->max_on_s) continue;
    hold.limit((*device->max_on_s - 2.0 * step.transit_s) / 3.0, device);
    step.rest_s = std::min(step.rest_s, hold.longest_s);
  }
  const double wanted_s =
      std::clamp(std::ceil(2.0 * noise.time_scale_s + 2.0 * kUncountedEnd_s), kLeastHold_s, 60.0);
  step.dwell_s = std::floor(std::min(wanted_s, hold.longest_s));
  if (!needed.empty()) {
    step.lead_s = step.rest_s;
    step.trail_s = std::max(step.rest_s, std::ceil(rest_s));
  }
  step.why = hold.longest_s < wanted_s ? fmt::format("{} last and for {:g} s at most",
                                                     hold.set_by->name, *hold.set_by->max_on_s)
                                       : "a check that the parts add up";
  const double helpers_s = step.lead_s + 2.0 * step.transit_s + step.dwell_s + step.rest_s;
  for (const Device* device : needed) {
    step.also_on.push_back(device->name);
    step.amp_hours += amp_hours_of(*device, helpers_s);
    step.trail_s = std::max(step.trail_s, std::ceil(device->min_rest_s.value_or(0.0)));
  }
  for (const Device* device : members) step.amp_hours += amp_hours_of(*device, step.dwell_s);
  return step;
}

}  // namespace

std::vector<const Device*> needed_by(const Device& device, const std::vector<Device>& equipment) {
  Members chain;
  const Device* at = &device;
  while (!at->with.empty() && chain.size() <= equipment.size()) {
    const auto other = std::find_if(equipment.begin(), equipment.end(), [&](const Device& d) {
      return lower_case(d.name) == lower_case(at->with);
    });
    if (other == equipment.end()) break;
    at = &*other;
    chain.push_back(at);
  }
  std::reverse(chain.begin(), chain.end());
  return chain;
}

double amp_hours_of(const Device& device, double on_s) {
  if (!device.current_A) return 0.0;
  const bool only_in_transit = device.kind == DeviceKind::moving && device.transit_s > 0.0;
  const double drawn_s = 2.0 * device.transit_s + (only_in_transit ? 0.0 : on_s);
  return *device.current_A * drawn_s / 3600.0;
}

std::vector<PlanStep> plan_sets(const std::vector<Device>& equipment, const PlanNoise& noise,
                                double rest_s) {
  std::vector<PlanStep> steps;
  Members all;
  for (const Device& device : equipment) all.push_back(&device);
  if (all.size() > 1) {  // one device alone is everything already
    steps.push_back(set_step(std::string{kEverything}, all, equipment, noise, rest_s));
  }
  for (const std::string& phase : phases_of(equipment)) {
    steps.push_back(set_step(std::string{kPhasePrefix} + phase, in_phase(equipment, phase),
                             equipment, noise, rest_s));
  }
  return steps;
}

}  // namespace qn
