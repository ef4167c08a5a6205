// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>

#include "accuracy/swing_cases.h"

namespace qn::accuracy {

/// Cramer-Rao sigma of A..E of one compass of a trial without blunder, sizes of the noise known;
/// north and the lag between the turns are nuisances with the priors they were drawn from.
/// Readings on the same marks with the same errors for every compass: other compasses add nothing.
std::array<double, 5> swing_bound(const SwingTrial& trial, std::size_t compass);

/// Information of one reading of scatter sigma on its place, on the average over where that place
/// is between two steps.
double information_of_rounded(double sigma, double step);

}  // namespace qn::accuracy
