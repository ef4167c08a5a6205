// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <utility>
#include <vector>

#include "vocab/field_vector.h"

namespace qn {

/// 95 % bands of lengths. The length of an uncertain vector is biased upward, so its band is found
/// by test inversion: every true length under which the observed one is no outlier (docs/math/
/// disturbing-field.md). The lower end is 0 where noise alone explains the vector; the upper end
/// is never below 1.96 sigma, where the inversion itself would shrink to nothing.

/// A vector in a plane as it is known.
struct PlaneEstimate {
  double x = 0.0, y = 0.0;
  double var_x = 0.0, cov_xy = 0.0, var_y = 0.0;
};

/// Probability that a vector with mean (x, y) and that covariance is shorter than `radius`; by
/// quadrature, error below 1e-6. With equal variances it is the noncentral chi-square law.
double probability_shorter(const PlaneEstimate& vector, double radius);

/// Lower and upper end. Each trial length is tried at the likeliest vector of that length: with
/// unequal variances the estimated direction would hold the truth in as few as 81 % of runs.
std::pair<double, double> plane_length_band_95(const PlaneEstimate& vector);

/// The same for any length-like number (convex, growing in proportion), by simulation.
///
/// observed     what was found
/// spread       1 sigma of it when it is large: sets the scale of the search and the least upper
/// end quantile_at  (true length, probability) -> that quantile of what would be found
std::pair<double, double> length_band_95(double observed, double spread,
                                         const std::function<double(double, double)>& quantile_at);

/// Evenly spread points whose law is N(0, covariance), mean and covariance exact: 512 in opposite
/// pairs from a low-discrepancy sequence, always the same. Percentiles of smooth functions of them
/// are several times better than those of as many random draws.
std::vector<Vector3> gaussian_points(const Matrix3& covariance);

/// Lower-triangular root of a positive semi-definite covariance.
Matrix3 lower_root(const Matrix3& covariance);

}  // namespace qn
