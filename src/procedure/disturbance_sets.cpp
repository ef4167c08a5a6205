// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_result_internal.h"
#include "vocab/letters.h"

namespace qn::disturbance {
namespace {

std::vector<SumMember> members_where(const Solved& solved, const std::string& phase,
                                     bool first_state_only) {
  std::vector<SumMember> out;
  for (std::size_t s = 0; s < solved.states.size(); ++s) {
    const Item& item = solved.run.items[solved.states[s].item];
    if (item.what != Item::What::device) continue;
    const bool in_phase =
        phase.empty() || std::any_of(item.device.phases.begin(), item.device.phases.end(),
                                     [&](const std::string& p) { return lower_case(p) == phase; });
    if (!in_phase || (first_state_only && solved.states[s].state != 1)) continue;
    out.push_back(
        {item.device.name, item.device.states[solved.states[s].state], s, item.device.optional});
  }
  return out;
}

std::vector<std::string> phases_of(const Solved& solved) {
  std::vector<std::string> out;
  for (const Item& item : solved.run.items) {
    for (const std::string& phase : item.device.phases) {
      const auto same = [&](const std::string& p) { return lower_case(p) == lower_case(phase); };
      if (std::none_of(out.begin(), out.end(), same)) out.push_back(phase);
    }
  }
  return out;
}

// A sum that holds a device nobody can vouch for is no better than that device.
void doubt(const Solved& solved, const std::vector<SumMember>& members, CombinationEffect& sum) {
  for (const SumMember& member : members) {
    if (!solved.states[member.index].reading.contested) continue;
    sum.verdict.state = VerdictState::unproven;
    sum.verdict.do_next = "Work " + member.device + " again: its repeats do not agree.";
    return;
  }
}

}  // namespace

void add_combinations(const Solved& solved, const JointFields& joint,
                      const DisturbanceOptions& options, DisturbanceRun& run) {
  std::vector<std::vector<SumMember>> phases;
  for (const std::string& phase : phases_of(solved)) {
    const std::vector<SumMember> members = members_where(solved, lower_case(phase), false);
    if (members.empty()) continue;
    phases.push_back(members);
    run.combinations.push_back(combine(phase, members, joint, options.earth, options.limit));
    doubt(solved, members, run.combinations.back());
  }
  const std::vector<SumMember> all = members_where(solved, "", true);
  if (!all.empty()) {
    if (phases.empty()) phases.push_back(members_where(solved, "", false));
    run.combinations.push_back(combine("everything", members_where(solved, "", false), joint,
                                       options.earth, options.limit));
    doubt(solved, all, run.combinations.back());
  }
  for (std::size_t s = 0; s < solved.states.size(); ++s) {
    const Item& item = solved.run.items[solved.states[s].item];
    if (item.what != Item::What::everything || all.empty()) continue;
    run.all_on = compare_all_on(s, all, joint, options.earth);
  }
  run.cure_order = cure_order_of(phases, joint, options.earth, options.limit);
}

}  // namespace qn::disturbance
