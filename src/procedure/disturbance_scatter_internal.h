// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/disturbance_effects_internal.h"

namespace qn::disturbance {

/// How far the repeats of a state lie from their common size, by what the noise has them.
struct Scatter {
  double chi_square = 0.0, freedom = 0.0;
};

/// common_uT  of the state; inflation  of the noise's variance, by axis. Nothing where there are
/// fewer than two good visits.
Scatter scatter_of(const VisitSolution& solution, const StateVisits& state,
                   const Vector3& common_uT, const Vector3& inflation);

/// Factors of variance, at least 1. Moments, heating and neighbours that were read wrongly show
/// first in repeats that lie further apart than the noise has them. Few repeats say little about
/// their own scatter: they begin at an opinion worth four visits that it is what it is in the whole
/// run, and that begins at one worth ten that the noise is right.
std::vector<double> further_variance(const std::vector<Scatter>& states);

}  // namespace qn::disturbance
