// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "estimation/normal_equations.h"

namespace qn {

/// `count` draws from N(0, covariance), row-major (count x size), the same for the same seed on
/// every machine. Draws come in opposite pairs, so that their mean is exactly zero; the covariance
/// may be singular.
std::vector<double> gaussian_draws(const SquareMatrix& covariance, std::size_t count,
                                   std::uint64_t seed);

/// The standard normal quantile, |relative error| below 1.2e-9.
double normal_quantile(double probability);

/// The q-quantile of `values` (0 <= q <= 1), by linear interpolation; reorders `values`.
double quantile(std::vector<double>& values, double q);

}  // namespace qn
