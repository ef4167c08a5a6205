// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "procedure/disturbance_solve_internal.h"

namespace qn::disturbance {

/// Looks for steps and pulses in what is left that no mark explains, and adds them to
/// `problem.events`. Beside a switch nothing is looked for: there the switch itself is the better
/// explanation.
void find_events(Problem& problem, const VisitSolution& solution);

}  // namespace qn::disturbance
