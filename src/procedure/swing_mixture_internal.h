// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <utility>
#include <vector>

namespace qn {

/// A sum of normal laws: what a coefficient, or the curve on one heading, may be.
struct NormalMixture {
  std::vector<double> weights;  ///< add up to 1
  std::vector<double> means, sigmas;

  double mean() const;
  double variance() const;
  /// Where the chance of less is p. Between the outermost laws' own; by Newton's method.
  double quantile(double p) const;
  std::pair<double, double> band_95() const { return {quantile(0.025), quantile(0.975)}; }
};

}  // namespace qn
