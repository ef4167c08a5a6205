// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace qn {

/// 95 % band of the largest size of an uncertain curve, by test inversion.
///
/// curve       the estimated curve at n points
/// deviations  draws of (curve as it might be - estimate), row-major (draws x n)
/// returns     the range of true peaks x under which the observed peak max|curve| is not an
///             outlier: the estimated shape is scaled to peak x, the deviations added, and x kept
///             while the observed peak lies between the 2.5th and 97.5th percentile of the peaks.
///             (Percentiles of max|curve + deviation| would be biased upward near zero.)
std::pair<double, double> peak_band_95(const std::vector<double>& curve,
                                       const std::vector<double>& deviations);

}  // namespace qn
