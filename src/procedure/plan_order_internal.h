// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace qn {

/// One state of one device that is to be visited.
struct PlanWork {
  std::size_t device = 0;  ///< in the equipment list
  std::size_t state = 0;   ///< in the device's list
  std::size_t visits = 0;
  std::size_t group = 0;  ///< 0: no caution; those of one group stay together in each pass
  std::string together;   ///< what must be on for it; equal ones stand side by side where they can
};

struct PlanVisit {
  std::size_t work = 0;
  std::size_t pass = 0;  ///< from 1
};

/// Pass 1 holds all of them, pass 2 all in another order, later passes those that need more. No
/// device follows itself where another of its group, or the group before, can stand between.
std::vector<PlanVisit> plan_order(const std::vector<PlanWork>& work);

}  // namespace qn
