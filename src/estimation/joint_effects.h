// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "estimation/drift_filter.h"
#include "estimation/normal_equations.h"
#include "estimation/skyline_factor.h"

namespace qn {

/// Sum of products over the blocks that two columns share.
double overlap(const BlockColumn& a, const BlockColumn& b);

/// Sizes of several effects in one series, with their joint covariance.
struct JointEffects {
  std::vector<double> size;
  SquareMatrix covariance;
  double weighted_rms = 0.0;  ///< of the whitened residuals; 1 when the noise model is right
};

/// Every column solved by itself, as if none were a repeat of another.
struct SingleEffects {
  std::vector<double> size, sigma;
  std::vector<std::size_t> place;  ///< of each column in the order of time, in which `factor` is
  SkylineFactor factor{{}};        ///< of the information

  /// How much of the information about a further shape the columns take for themselves.
  ///
  /// shared  columns that overlap with it, and what they share
  double taken(const std::vector<std::pair<std::size_t, double>>& shared) const;
};

/// Least squares on columns that a DriftFilter has made independent. Columns are short against the
/// series: only overlapping ones meet in the normal equations.
class EffectEquations {
 public:
  /// columns  as drawn up; series  block means, as many as the filter has blocks
  EffectEquations(const DriftFilter& filter, const std::vector<BlockColumn>& columns,
                  const std::vector<double>& series);

  std::size_t columns() const { return gradient_.size(); }
  /// Every column with the drift taken out.
  const std::vector<BlockColumn>& white() const { return white_; }

  /// group[c]    the effect that column c is a repeat of; columns of one effect share one size
  /// prior_sd    a weak opinion that every size is near zero: keeps what the data cannot tell apart
  ///             finite (and very uncertain)
  JointEffects solve(const std::vector<std::size_t>& group, std::size_t effects,
                     double prior_sd) const;

  /// Each column an effect of its own; only sigmas, no covariances.
  SingleEffects solve_single(double prior_sd) const;

 private:
  struct Shared {
    std::size_t i, j;  ///< columns, i before j in time or the same
    double sum;
  };

  std::vector<BlockColumn> white_;
  std::vector<std::size_t> order_;  ///< columns by their first block
  std::vector<Shared> shared_;      ///< what overlaps
  std::vector<double> gradient_;
  double sum_squares_ = 0.0;
  std::size_t rows_ = 0;
};

}  // namespace qn
