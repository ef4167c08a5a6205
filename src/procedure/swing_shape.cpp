// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_compass_internal.h"

namespace qn {
namespace {

constexpr int kStep_deg = 5;
constexpr std::size_t kHeadings = 360 / kStep_deg;
constexpr std::size_t kAtOnce = 8;  // draws looked at together
constexpr double kFar = 1e30;

// The estimate all around, and what a step of each coefficient does to it.
struct Around {
  std::array<DeviationCurve::Value, kHeadings> at;
  std::size_t worst = 0;

  explicit Around(const DeviationCurve& curve) {
    for (std::size_t k = 0; k < kHeadings; ++k) {
      at[k] = curve.at(static_cast<double>(k) * kStep_deg);
      if (size(k) > size(worst)) worst = k;
    }
  }
  double size(std::size_t k) const { return std::fabs(at[k].deviation_deg); }
};

// Of each draw: the largest peak x for which the estimate's shape, scaled to it, and what the draw
// adds stay at or below the peak that was seen; and the peak of the estimate with the draw.
struct Peaks {
  std::vector<double> largest_at_zero;  // none when the draw alone is above the peak seen
  std::vector<double> largest;          // none when no x does
  std::vector<double> peak;
};

// |x s + e| <= T at every heading is an interval of x for each of them: no search is needed.
Peaks peaks_of(const Around& around, const SwingCoefficients& middle,
               const std::vector<double>& draws_deg) {
  const double seen = around.size(around.worst);
  const std::size_t draws = draws_deg.size() / 5;
  Peaks out;
  for (std::size_t first = 0; first < draws; first += kAtOnce) {
    double off[5][kAtOnce] = {};
    double most[kAtOnce], least[kAtOnce], peak[kAtOnce];
    const std::size_t count = std::min(kAtOnce, draws - first);
    for (std::size_t i = 0; i < count; ++i) {
      for (std::size_t j = 0; j < 5; ++j) off[j][i] = draws_deg[5 * (first + i) + j] - middle[j];
    }
    std::fill(most, most + kAtOnce, kFar);
    std::fill(least, least + kAtOnce, -kFar);
    std::fill(peak, peak + kAtOnce, 0.0);
    for (std::size_t k = 0; k < kHeadings; ++k) {
      const double y = around.at[k].deviation_deg;
      const double sign = y < 0.0 ? -1.0 : 1.0;
      const double per_x = seen / std::max(std::fabs(y), 1e-12 * seen + 1e-300);
      double way[5];
      for (std::size_t j = 0; j < 5; ++j) way[j] = sign * around.at[k].per_coefficient[j];
      for (std::size_t i = 0; i < kAtOnce; ++i) {
        const double e = way[0] * off[0][i] + way[1] * off[1][i] + way[2] * off[2][i] +
                         way[3] * off[3][i] + way[4] * off[4][i];
        const double up = (seen - e) * per_x;
        const double down = (-seen - e) * per_x;
        const double size = std::fabs(sign * y + e);
        most[i] = up < most[i] ? up : most[i];
        least[i] = down > least[i] ? down : least[i];
        peak[i] = size > peak[i] ? size : peak[i];
      }
    }
    for (std::size_t i = 0; i < count; ++i) {
      out.largest_at_zero.push_back(least[i] > 0.0 ? -kFar : most[i]);
      out.largest.push_back(least[i] > most[i] ? -kFar : most[i]);
      out.peak.push_back(peak[i]);
    }
  }
  return out;
}

}  // namespace

SwingShape peak_of(const DeviationCurve& estimate, const std::vector<double>& draws_deg) {
  const Around around{estimate};
  Peaks peaks = peaks_of(around, estimate.coefficients_deg, draws_deg);
  SwingShape shape;
  shape.worst_deg = around.size(around.worst);
  shape.worst_at_deg = static_cast<double>(around.worst) * kStep_deg;
  // Test inversion (docs/math/disturbing-field.md): the peaks under which the one seen is no
  // outlier. Near zero the upper end stays at what noise alone can hide.
  const double low = quantile(peaks.largest_at_zero, 0.025);
  double high = std::max(quantile(peaks.largest, 0.975), shape.worst_deg);
  // It keeps the shape of the curve, and where the estimate has two peaks of like height it puts a
  // chance excess of one over the other down to luck: its upper end was passed in 7 % of swings.
  // The curve as it may be is no better a guide on its own (docs/math/swing.md), but its 95th
  // percentile bounds that case and no other.
  high = std::max(high, quantile(peaks.peak, 0.95));
  shape.worst_95_deg = {std::clamp(low, 0.0, shape.worst_deg), high};
  for (std::size_t k = 0; k < kHeadings; k += 10 / kStep_deg) {
    const double y = around.at[k].deviation_deg;
    shape.points.push_back({static_cast<double>(k) * kStep_deg, y, y, y});
  }
  return shape;
}

SwingShape shape_of(const DeviationCurve& estimate, const std::vector<double>& draws_deg) {
  SwingShape shape = peak_of(estimate, draws_deg);
  std::vector<double> off(draws_deg.size() / 5);
  for (SwingPoint& point : shape.points) {
    const auto ways = estimate.at(point.indicated_deg).per_coefficient;
    for (std::size_t d = 0; d < off.size(); ++d) {
      off[d] = 0.0;
      for (std::size_t j = 0; j < 5; ++j) {
        off[d] += ways[j] * (draws_deg[5 * d + j] - estimate.coefficients_deg[j]);
      }
    }
    point.lo_deg += quantile(off, 0.025);
    point.hi_deg += quantile(off, 0.975);
  }
  return shape;
}

}  // namespace qn
