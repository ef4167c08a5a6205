// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>

namespace qn {

/// A..E, then half the difference between the two turns.
inline constexpr std::size_t kSwingParameters = 6;
using SwingParameters = std::array<double, kSwingParameters>;

/// Six by six, on the stack: a swing solves thousands of them.
using SwingMatrix = std::array<std::array<double, kSwingParameters>, kSwingParameters>;

/// What one needs of an information matrix (symmetric; only its lower half is read).
struct SwingSpread {
  SwingMatrix root{};            ///< upper triangle U with U U' = covariance
  SwingMatrix covariance{};      ///< the inverse
  double log_determinant = 0.0;  ///< of the information
  bool positive = false;         ///< false: it was not positive definite, and nothing is filled
};
SwingSpread spread_of_information(const SwingMatrix& information);

SwingParameters times(const SwingMatrix& a, const SwingParameters& x);
double quadratic(const SwingMatrix& a, const SwingParameters& x);

}  // namespace qn
