// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>

#include "procedure/swing_fit_internal.h"

namespace qn {

/// Sizes of the noise, closely spaced, and what is believed of each before readings speak.
class NoiseGrid {
 public:
  explicit NoiseGrid(const SwingPrior& prior);

  static constexpr std::size_t kSizes = 25;
  double variance(std::size_t g) const { return variance_[g]; }  ///< over that of the prior
  double log_prior(std::size_t g) const { return log_prior_[g]; }

  using Weights = std::array<double, kSizes>;
  /// Each size's share in the evidence of readings with so many squares (at the prior's size) and
  /// so much freedom left over, and the logarithm of the whole. The shares add up to 1.
  double weigh(double squares, double freedom, Weights& shares) const;

 private:
  Weights variance_{}, log_prior_{}, log_sigma_{};
};

}  // namespace qn
