// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/swing_compass_internal.h"
#include "procedure/swing_joint_internal.h"

namespace qn {

/// The laws of all compasses from one fit of them all: sizes of the reading errors of each and of
/// the place beside the mark by restricted likelihood, then for each compass a mixture over the
/// size of its own scatter, as firm as that is known. Empty when the readings do not tell enough.
///
/// rows   in use, linear about theta
/// theta  of each compass
std::vector<SwingPosterior> joint_posteriors(const std::vector<JointRow>& rows,
                                             const std::vector<CompassFit>& fits,
                                             const std::vector<SwingParameters>& theta);

/// Compasses read under one state of the loads, together: which readings and marks are wrong, and
/// the law of each compass's parameters.
std::vector<CompassFit> fit_group(const std::vector<std::vector<SwingReading>>& readings,
                                  const SwingSettings& settings);

}  // namespace qn
