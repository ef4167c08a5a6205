// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <map>

#include "procedure/plan_order_internal.h"

namespace qn {
namespace {

using Indices = std::vector<std::size_t>;

/// All first states before all second ones, so that a device's states do not follow one another;
/// what must be on together side by side; turned about from pass to pass.
void arrange(const std::vector<PlanWork>& work, std::size_t pass, Indices& group) {
  std::map<std::string, std::size_t> first_seen;
  for (const std::size_t i : group) first_seen.emplace(work[i].together, i);
  std::stable_sort(group.begin(), group.end(), [&](std::size_t a, std::size_t b) {
    const std::size_t block_a = first_seen[work[a].together];
    const std::size_t block_b = first_seen[work[b].together];
    return block_a != block_b ? block_a < block_b : work[a].state < work[b].state;
  });
  if (pass % 2 == 0) std::reverse(group.begin(), group.end());
  const std::size_t turn = (pass - 1) / 2;
  std::rotate(group.begin(), group.begin() + static_cast<std::ptrdiff_t>(turn % group.size()),
              group.end());
}

/// Brings something else between two visits to one device, from later in the group.
void part(const std::vector<PlanWork>& work, std::size_t previous_device, Indices& group) {
  const auto same = [&](std::size_t a, std::size_t device) { return work[a].device == device; };
  std::size_t device = previous_device;
  for (std::size_t i = 0; i < group.size(); ++i) {
    if (same(group[i], device)) {
      const auto from = group.begin() + static_cast<std::ptrdiff_t>(i);
      const auto other =
          std::find_if(from, group.end(), [&](std::size_t k) { return !same(k, device); });
      if (other != group.end()) std::rotate(from, other, other + 1);
    }
    device = work[group[i]].device;
  }
}

}  // namespace

std::vector<PlanVisit> plan_order(const std::vector<PlanWork>& work) {
  std::size_t passes = 0, groups = 0;
  for (const PlanWork& w : work) {
    passes = std::max(passes, w.visits);
    groups = std::max(groups, w.group);
  }
  std::vector<PlanVisit> order;
  std::size_t last_device = work.size();  // none
  for (std::size_t pass = 1; pass <= passes; ++pass) {
    Indices group_order{0};
    for (std::size_t g = 0; g < groups; ++g) group_order.push_back(1 + (g + pass - 1) % groups);
    for (const std::size_t g : group_order) {
      Indices group;
      for (std::size_t i = 0; i < work.size(); ++i) {
        if (work[i].group == g && work[i].visits >= pass) group.push_back(i);
      }
      if (group.empty()) continue;
      arrange(work, pass, group);
      part(work, last_device, group);
      last_device = work[group.back()].device;
      for (const std::size_t i : group) order.push_back({i, pass});
    }
  }
  return order;
}

}  // namespace qn
