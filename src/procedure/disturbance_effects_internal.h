// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "procedure/disturbance_repeats_internal.h"
#include "procedure/disturbance_run.h"
#include "procedure/disturbance_solve_internal.h"

namespace qn::disturbance {

/// One state of one item, and the visits that show it.
struct StateVisits {
  std::size_t item = 0;
  std::size_t state = 1;
  std::vector<std::size_t> visits;  ///< indices in MarkedRun::visits
  RepeatsReading reading;
  std::string together_with;  ///< another device that was switched with it every time; empty: none
};

/// The states that were worked, in the order of the items and their states.
std::vector<StateVisits> states_worked(const MarkedRun& run);

/// Finds devices that were switched at the same moments every time: only their sum can be seen.
void note_worked_together(const MarkedRun& run, std::vector<StateVisits>& states);

/// Reads the repeats of every device's states; sets are left as they are.
void read_all_repeats(const MarkedRun& run, const VisitSolution& solution, double matters_uT,
                      std::vector<StateVisits>& states);

/// Sizes of all states solved together. Parameters: the states in their order, then what was set
/// aside, events and warmings. Axes are independent of each other up to here.
struct JointStates {
  std::vector<Vector3> size_uT;            ///< settled: warming included
  std::array<SquareMatrix, 3> covariance;  ///< of the states, in their order
  /// Of each state that warms: chi-square of what warming adds, three sizes; 0 else.
  std::vector<double> warming_stands;
};
JointStates solve_states(const Problem& problem, const VisitSolution& solution,
                         const std::vector<StateVisits>& states);

/// What one visit is expected to show, from the other visits of its state only.
std::vector<ExpectedJump> expected_jumps(const MarkedRun& run, const VisitSolution& solution,
                                         const std::vector<StateVisits>& states);

}  // namespace qn::disturbance
