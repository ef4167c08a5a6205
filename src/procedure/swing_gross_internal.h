// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "procedure/swing_fit_internal.h"
#include "procedure/swing_joint_internal.h"

namespace qn {

/// A way in which a reading goes wrong, and by how much it then misses what was to be read.
struct GrossCause {
  const char* name = "";
  double share = 0.0;      ///< of all wrong readings
  double shift_deg = 0.0;  ///< added to the reading, it would be right again
};

/// Causes for one reading; what they leave of the share of 1 is "no pattern".
///
/// expected_deg   what the fitted curve foretells for the row
/// neighbours     what it foretells for the marks on both sides of this one
std::vector<GrossCause> causes_of(const SwingRow& row, double expected_deg,
                                  const std::vector<double>& neighbours_deg);

inline constexpr const char* kOtherStation = "other station";

/// One opinion: these rows are wrong and all others are good.
struct GrossSet {
  std::vector<std::size_t> rows;    ///< positions in the list of rows, rising
  std::vector<std::string> causes;  ///< the likeliest, beside `rows`
  double probability = 0.0;
};

/// All opinions worth having (at most three wrong readings or marks), likeliest first;
/// probabilities add up to 1. Where several compasses were read on one stay, the stay itself is
/// under suspicion too: all its rows are then wrong, by the one reason of another station.
///
/// rows  of all compasses, linear about parameters near the truth
/// sd    what is believed of the parameters of each compass
std::vector<GrossSet> weigh_gross(const std::vector<JointRow>& rows,
                                  const std::vector<SwingParameters>& sd, const SwingPrior& prior);

}  // namespace qn
