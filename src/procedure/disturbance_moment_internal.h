// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/disturbance_timing_internal.h"

namespace qn::disturbance {

/// Probabilities over the grid from the log of prior times likelihood ratio.
SwitchTime posterior(double from_s, double step_s, const std::vector<double>& log_weight);

/// Log of the odds of a step about where the moment is believed to be against none at all.
double evidence_near(const SwitchTime& at, const std::vector<double>& log_prior,
                     const std::vector<double>& log_ratio);

/// Every edge of the window needs a cause. If the switch is at one of them, something unplanned
/// made the others; if it is at none, something unplanned made them all.
///
/// own, any  log likelihood ratio, a value a moment, of a jump: as this device's, as anything's
/// unseen    log of the odds that the device's own jump is too small to be seen
/// apart_s   edges nearer to each other than that are one: a travel shows for as long as it takes
/// returns   log weight of each moment
std::vector<double> with_unplanned(const std::vector<double>& log_prior,
                                   const std::vector<double>& own, const std::vector<double>& any,
                                   double unseen, double step_s, double apart_s);

}  // namespace qn::disturbance
