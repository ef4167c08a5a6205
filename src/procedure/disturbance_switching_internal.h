// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "procedure/disturbance_solve_internal.h"

namespace qn::disturbance {

/// How much of each block a visit was on, as far as its moments are known.
BlockColumn visit_column(const Problem& problem, const Visit& visit);

/// Variance of each block, uT^2 by axis, because the moments of switches are not known exactly and
/// because motors draw more at first.
std::array<std::vector<double>, 3> uncertain_edges(const Problem& problem);

}  // namespace qn::disturbance
