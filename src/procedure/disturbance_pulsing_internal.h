// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "procedure/disturbance_fold_internal.h"

namespace qn::disturbance {

/// A device that comes and goes by itself while it is on.
struct PulsingItem {
  std::size_t item = 0;
  Repeating shape;
  std::vector<std::size_t> visits;  ///< that were looked at, one a fold of `shape`
  /// Every visit was evened out from its first pulse to the end of its last whole period: its
  /// switches are there, and the pause after the last pulse counts as on.
  bool whole = false;
  /// Then, of each visit: how large one more pulse was seen that follows, of 1; 0 for none.
  std::vector<double> cut_short;
};

/// When a pulsing device was switched off, against the moment at which its evened train ends.
struct SwitchedOff {
  double after_s = 0.0, sigma_s = 0.0;
};
SwitchedOff switched_off(const PulsingItem& found, std::size_t visit);

/// Looks for a period in the time each item was on, what the fit explains taken out first, and
/// removes it (its mean stays) from the series' pieces, so that it is not mistaken for noise.
std::vector<PulsingItem> take_out_pulses(Series& series, const Problem& problem,
                                         const VisitSolution& visits,
                                         const std::array<std::vector<double>, 3>& fit_uT,
                                         const RestSpectrum& rest);

}  // namespace qn::disturbance
