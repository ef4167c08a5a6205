// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/swing_noise_grid_internal.h"

namespace qn {
namespace {

constexpr double kFirst = 0.25;
constexpr double kStep = 1.13;  // to 4.7
// A scatter several times the assumed one is rarer than a wrong reading, so here the assumption
// counts at least like so many readings (for the bands, which must hold then too, like fewer).
constexpr double kLeastDof = 8.0;

}  // namespace

NoiseGrid::NoiseGrid(const SwingPrior& prior) {
  SwingPrior firmer = prior;
  firmer.noise_dof = std::max(prior.noise_dof, kLeastDof);
  const double sigma2 = prior.sigma(0.0) * prior.sigma(0.0);
  const double rounding2 = prior.rounding_deg * prior.rounding_deg / 12.0;
  for (std::size_t g = 0; g < kSizes; ++g) {
    const double scale = kFirst * std::pow(kStep, static_cast<double>(g));
    // Rounding does not grow with the scatter.
    variance_[g] = (scale * scale * sigma2 + rounding2) / (sigma2 + rounding2);
    log_sigma_[g] = 0.5 * std::log(variance_[g]);
    log_prior_[g] = log_scale_prior(scale, firmer);
  }
}

double NoiseGrid::weigh(double squares, double freedom, Weights& shares) const {
  for (std::size_t g = 0; g < kSizes; ++g) {
    shares[g] = log_prior_[g] - freedom * log_sigma_[g] - 0.5 * squares / variance_[g];
  }
  const double most = *std::max_element(shares.begin(), shares.end());
  double sum = 0.0;
  for (double& s : shares) {
    s = std::exp(s - most);
    sum += s;
  }
  for (double& s : shares) s /= sum;
  return most + std::log(sum);
}

}  // namespace qn
