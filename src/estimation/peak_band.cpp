// SPDX-License-Identifier: Apache-2.0
#include "estimation/peak_band.h"

#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "vocab/expects.h"

namespace qn {
namespace {

class PeakSimulation {
 public:
  PeakSimulation(const std::vector<double>& curve, const std::vector<double>& deviations)
      : deviations_{deviations}, shape_{curve} {
    for (const double y : curve) observed_ = std::max(observed_, std::abs(y));
    for (double& y : shape_) y = observed_ > 0.0 ? y / observed_ : 0.0;
  }
  double observed() const { return observed_; }

  // The q-quantile of the peak that would be observed if the true peak were x.
  double peak_quantile(double x, double q) const {
    const std::size_t n = shape_.size();
    std::vector<double> peaks(deviations_.size() / n);
    for (std::size_t d = 0; d < peaks.size(); ++d) {
      double peak = 0.0;
      for (std::size_t i = 0; i < n; ++i) {
        peak = std::max(peak, std::abs(x * shape_[i] + deviations_[d * n + i]));
      }
      peaks[d] = peak;
    }
    return quantile(peaks, q);
  }

  // The smallest x at which the q-quantile reaches the observed peak; 0 when it already does at 0.
  double invert(double q) const {
    if (peak_quantile(0.0, q) >= observed_) return 0.0;
    double low = 0.0;
    double high = std::max(observed_, 1e-9);
    for (int i = 0; i < 60 && peak_quantile(high, q) < observed_; ++i) {
      low = high;
      high *= 1.5;
    }
    for (int i = 0; i < 30; ++i) {
      const double middle = 0.5 * (low + high);
      (peak_quantile(middle, q) < observed_ ? low : high) = middle;
    }
    return 0.5 * (low + high);
  }

 private:
  const std::vector<double>& deviations_;
  std::vector<double> shape_;
  double observed_ = 0.0;
};

}  // namespace

std::pair<double, double> peak_band_95(const std::vector<double>& curve,
                                       const std::vector<double>& deviations) {
  QN_EXPECTS(!curve.empty() && deviations.size() >= 2 * curve.size());
  const PeakSimulation simulation{curve, deviations};
  const double low = simulation.invert(0.975);
  // Near zero even x = 0 explains a small observed peak at the lower tail: the upper end then
  // stays positive, at what noise alone can hide.
  const double high = std::max(simulation.invert(0.025), simulation.observed());
  return {std::min(low, simulation.observed()), high};
}

}  // namespace qn
