// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/plan_sets_internal.h"
#include "procedure/plan_words_internal.h"
#include "procedure/plan_work_internal.h"

namespace qn {
namespace {

/// Cautions of the device and of what must be on for it, and the usual ones of its kind.
struct Careful {
  std::string key;  ///< equal keys are one group
  std::vector<std::string> own, usual;
};

Careful careful(const Device& device, const std::vector<Device>& equipment) {
  Careful result;
  for (const Device* other : needed_by(device, equipment)) {
    result.own.push_back(other->caution);
    result.usual.push_back(usual_caution(other->kind));
  }
  result.own.push_back(device.caution);
  result.usual.push_back(usual_caution(device.kind));
  result.key = joined_cautions(result.own);
  if (result.key.empty()) result.key = joined_cautions(result.usual);
  return result;
}

double largest_hold_s(const Device& device) {
  return device.max_on_s ? std::max(1.0, std::floor(*device.max_on_s - device.transit_s)) : 1e9;
}

TimeNeeds needs_of(const Device& device, const std::vector<Device>& equipment) {
  TimeNeeds needs;
  needs.transit_s = device.transit_s;
  if (device.kind == DeviceKind::pulsing) needs.least_s = kLeastPulsing_s;
  needs.longest_s = std::min(needs.longest_s, largest_hold_s(device));
  const double helper_s = shortest_helper_on_s(device, equipment);
  if (std::isfinite(helper_s)) {  // rest, hold and rest while it is on
    const double third = std::max(1.0, std::floor((helper_s - 2.0 * device.transit_s) / 3.0));
    needs.longest_s = std::min(needs.longest_s, third);
    needs.longest_rest_s = third;
  }
  return needs;
}

std::size_t group_of(PlanWorkList& work, const Careful& words, DeviceKind kind) {
  if (words.key.empty()) return 0;
  std::size_t at = 1;
  while (at < work.groups.size() && work.groups[at].key != words.key) ++at;
  if (at == work.groups.size()) work.groups.push_back({words.key, {}, {}, false});
  CautionGroup& group = work.groups[at];
  group.own.insert(group.own.end(), words.own.begin(), words.own.end());
  group.usual.insert(group.usual.end(), words.usual.begin(), words.usual.end());
  group.engine = group.engine || kind == DeviceKind::engine;
  return at;
}

/// Engines last: what they heat and shake must not disturb the rest of a pass.
void engines_last(PlanWorkList& work) {
  std::vector<std::size_t> order, place(work.groups.size());
  for (const bool engine : {false, true}) {
    for (std::size_t g = 0; g < work.groups.size(); ++g) {
      if (work.groups[g].engine == engine) order.push_back(g);
    }
  }
  std::vector<CautionGroup> groups;
  for (const std::size_t g : order) {
    place[g] = groups.size();
    groups.push_back(work.groups[g]);
  }
  work.groups = std::move(groups);
  for (PlanWork& item : work.items) item.group = place[item.group];
}

}  // namespace

double shortest_helper_on_s(const Device& device, const std::vector<Device>& equipment) {
  double shortest = INFINITY;
  for (const Device* other : needed_by(device, equipment)) {
    if (other->max_on_s) shortest = std::min(shortest, *other->max_on_s);
  }
  return shortest;
}

PlanWorkList plan_work(const std::vector<Device>& equipment) {
  PlanWorkList work;
  for (std::size_t d = 0; d < equipment.size(); ++d) {
    const Device& device = equipment[d];
    const std::size_t group = group_of(work, careful(device, equipment), device.kind);
    std::string together;
    for (const Device* other : needed_by(device, equipment)) together += other->name + "|";
    for (std::size_t s = 1; s < device.states.size(); ++s) {
      work.items.push_back({d, s, 0, group, together});
      work.needs.push_back(needs_of(device, equipment));
    }
  }
  engines_last(work);
  return work;
}

}  // namespace qn
