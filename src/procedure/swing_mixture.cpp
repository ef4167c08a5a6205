// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_mixture_internal.h"

namespace qn {

double NormalMixture::mean() const {
  double sum = 0.0;
  for (std::size_t k = 0; k < weights.size(); ++k) sum += weights[k] * means[k];
  return sum;
}

double NormalMixture::variance() const {
  const double middle = mean();
  double sum = 0.0;
  for (std::size_t k = 0; k < weights.size(); ++k) {
    const double off = means[k] - middle;
    sum += weights[k] * (sigmas[k] * sigmas[k] + off * off);
  }
  return sum;
}

double NormalMixture::quantile(double p) const {
  const double z = normal_quantile(p);
  double lo = means[0] + z * sigmas[0];
  double hi = lo;
  for (std::size_t k = 1; k < weights.size(); ++k) {
    lo = std::min(lo, means[k] + z * sigmas[k]);
    hi = std::max(hi, means[k] + z * sigmas[k]);
  }
  const double width = hi - lo;
  double x = std::clamp(mean() + z * std::sqrt(variance()), lo, hi);
  for (int i = 0; i < 60; ++i) {
    double below = 0.0;
    double density = 0.0;
    for (std::size_t k = 0; k < weights.size(); ++k) {
      const double u = (x - means[k]) / sigmas[k];
      below += weights[k] * 0.5 * std::erfc(-u / std::numbers::sqrt2);
      density +=
          weights[k] * std::exp(-0.5 * u * u) / (sigmas[k] * std::sqrt(2.0 * std::numbers::pi));
    }
    (below < p ? lo : hi) = x;
    const double step = (p - below) / std::max(density, 1e-300);
    double next = x + step;
    if (!(next > lo && next < hi)) next = 0.5 * (lo + hi);  // Newton would leave the bracket
    const bool close = std::fabs(next - x) < 1e-5 * width + 1e-12;
    x = next;
    if (close) break;
  }
  return x;
}

}  // namespace qn
