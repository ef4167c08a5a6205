// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>

#include "accuracy/swing_cases.h"

namespace qn::accuracy {

/// Mean of A..E under the interval model that the solver states (docs/math/swing.md), for a trial
/// of one compass without blunder: readings as intervals, exact geometry, the size of the noise
/// unknown with its prior, no opinion of the coefficients. By importance sampling from a Student
/// law wider than the solver's own, so that nothing but the place of the draws comes from it;
/// likelihood and geometry are written here once more.
struct PosteriorMean {
  std::array<double, 5> mean_deg{};
  double effective = 0.0;  ///< draws that the weights are worth; drawn on until kEnoughDraws
};
inline constexpr double kEnoughDraws = 300.0;

/// about  the solver's answer, to draw around
PosteriorMean swing_posterior_mean(const SwingTrial& trial, const SwingCompass& about,
                                   std::uint64_t seed);

}  // namespace qn::accuracy
