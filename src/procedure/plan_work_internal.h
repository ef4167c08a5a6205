// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/plan_order_internal.h"
#include "procedure/plan_times_internal.h"
#include "vocab/equipment.h"

namespace qn {

/// Devices that share a caution.
struct CautionGroup {
  std::string key;                      ///< equal keys are one group
  std::vector<std::string> own, usual;  ///< cautions of the list, and of the kinds
  bool engine = false;
};

/// What is to be visited, how each visit is limited, and the caution groups (index 0: none).
/// `visits` of the items are the caller's.
struct PlanWorkList {
  std::vector<PlanWork> items;
  std::vector<TimeNeeds> needs;  ///< one for each item
  std::vector<CautionGroup> groups{1};
};

PlanWorkList plan_work(const std::vector<Device>& equipment);

/// The shortest time any device that must be on for this one may stay on; infinite for none.
double shortest_helper_on_s(const Device& device, const std::vector<Device>& equipment);

}  // namespace qn
