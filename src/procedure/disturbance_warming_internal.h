// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/disturbance_effects_internal.h"

namespace qn::disturbance {

/// Devices whose field does not stand at once but climbs: a step and an exponential, the cooling
/// tail included. The time constant is the best of a few between 1.5 and 60 s.
std::vector<Warming> find_warmings(const Problem& problem, const VisitSolution& solution,
                                   const std::vector<StateVisits>& states);

}  // namespace qn::disturbance
