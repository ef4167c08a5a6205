// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "procedure/swing_gross_internal.h"

namespace qn {

/// A reading, or a stay with all its readings, that may be wrong by an unknown shift.
struct GrossSuspect {
  std::vector<std::size_t> rows;
  std::vector<double> ways;  ///< what a shift by 1 does to each
  std::vector<GrossCause> causes;
  double odds = 0.0;  ///< before anything is seen

  double free_share() const;  ///< of the causes: no pattern
  bool touches(const GrossSuspect& other) const;
};

/// Every reading, and every stay on which more than one compass was read.
std::vector<GrossSuspect> gross_suspects(const std::vector<JointRow>& rows);

}  // namespace qn
