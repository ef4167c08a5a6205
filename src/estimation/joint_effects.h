// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "estimation/drift_filter.h"
#include "estimation/normal_equations.h"

namespace qn {

/// Sum of products over the blocks that two columns share.
double overlap(const BlockColumn& a, const BlockColumn& b);

/// Sizes of several effects in one series, with their joint covariance.
struct JointEffects {
  std::vector<double> size;
  SquareMatrix covariance;
  double weighted_rms = 0.0;  ///< of the whitened residuals; 1 when the noise model is right
};

/// Least squares on columns that a DriftFilter has made independent. Columns are short against the
/// series: only overlapping ones meet in the normal equations.
class EffectEquations {
 public:
  /// columns  as drawn up; series  block means, as many as the filter has blocks
  EffectEquations(const DriftFilter& filter, const std::vector<BlockColumn>& columns,
                  const std::vector<double>& series);

  std::size_t columns() const { return gradient_.size(); }
  const SquareMatrix& information() const { return information_; }
  /// Every column with the drift taken out.
  const std::vector<BlockColumn>& white() const { return white_; }

  /// group[c]    the effect that column c is a repeat of; columns of one effect share one size
  /// prior_sd    a weak opinion that every size is near zero: keeps what the data cannot tell apart
  ///             finite (and very uncertain)
  JointEffects solve(const std::vector<std::size_t>& group, std::size_t effects,
                     double prior_sd) const;

 private:
  std::vector<BlockColumn> white_;
  SquareMatrix information_;
  std::vector<double> gradient_;
  double sum_squares_ = 0.0;
  std::size_t rows_ = 0;
};

}  // namespace qn
