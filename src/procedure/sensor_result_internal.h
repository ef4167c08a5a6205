// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/sensor_prepare_internal.h"

namespace qn::sensor_model {

/// The solution in the user's numbers: matrix and offset for raw readings, with covariance.
SensorCorrection to_correction(const Prepared& prepared, const Layout& layout,
                               const Solution& solution, FieldUnit unit);

DirectionCoverage count_directions(const Prepared& prepared, const Layout& layout,
                                   const Solution& solution);

/// At most `points` residuals, evenly spread, the largest of each stretch kept.
std::vector<ResidualPoint> thin_residuals(const Log& log, const std::vector<double>& residual,
                                          std::size_t points);

/// 1 sigma left over 1 sigma assumed, for a combination of parameters: near 1, nothing was learnt.
double learnt_share(const Problem& problem, const Solution& solution,
                    const std::vector<double>& combination);

/// What each source adds to the variance of the level heading error, averaged over headings,
/// degrees squared: fixing that source for good would take this much away.
struct ErrorShares {
  double slope = 0.0, deck = 0.0, north = 0.0, vertical = 0.0;
  double total = 0.0;
};
ErrorShares error_shares(const Problem& problem, const Solution& solution);

}  // namespace qn::sensor_model
