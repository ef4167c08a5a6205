// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "procedure/swing_solve.h"

namespace qn {

/// Two readings of one mark that are further apart than the scatter of the others makes likely.
struct Contradiction {
  std::size_t first = 0, second = 0;  ///< places among the compass's readings
  double apart_deg = 0.0;             ///< beside the lag between the turns
  double p = 1.0;                     ///< of so much by chance, for the number of pairs there are
};

/// assumed_deg, assumed_dof  scatter of a reading with its rounding, and how many readings it
///                           counts like beside what the residuals show
std::vector<Contradiction> contradictions_of(const SwingCompass& compass, double assumed_deg,
                                             double assumed_dof);

}  // namespace qn
