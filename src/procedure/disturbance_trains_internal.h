// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "procedure/disturbance_fold_internal.h"

namespace qn::disturbance {

/// Something periodic that goes on by itself, tied to no mark.
struct Train {
  double from_s = 0.0, to_s = 0.0;
  double period_s = 0.0;
  Vector3 size_uT{};  ///< from the low to the high part of the period
};

/// Looks for periods in windows of a minute over the whole log, what the fit explains taken out
/// first, and removes what it finds from the series' pieces.
///
/// not_here  1 for each fine piece that belongs to something known to pulse, or to several
std::vector<Train> take_out_trains(Series& series, const std::array<std::vector<double>, 3>& fit_uT,
                                   const RestSpectrum& rest,
                                   const std::vector<unsigned char>& not_here);

}  // namespace qn::disturbance
