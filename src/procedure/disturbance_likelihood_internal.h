// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "procedure/disturbance_window_internal.h"

namespace qn::disturbance {

/// Log of N(c; mean, variance + spread) / N(c; 0, variance), all axes, over and over for contrasts
/// most of which are known equally well.
class JumpRatio {
 public:
  JumpRatio(const Vector3& mean, const Vector3& spread_uT2) : mean_{mean}, spread_{spread_uT2} {}

  double of(const Window::Contrast& c) {
    if (c.variance_uT2 != variance_) prepare(c.variance_uT2);
    double sum = log_;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double d = c.jump_uT[axis] - mean_[axis];
      sum += c.jump_uT[axis] * c.jump_uT[axis] * half_per_v_[axis] - d * d * half_per_w_[axis];
    }
    return sum;
  }

 private:
  void prepare(const Vector3& variance) {
    variance_ = variance;
    double product = 1.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double w = variance[axis] + spread_[axis];
      half_per_v_[axis] = 0.5 / variance[axis];
      half_per_w_[axis] = 0.5 / w;
      product *= variance[axis] / w;
    }
    log_ = 0.5 * std::log(std::max(product, 1e-300));
  }

  Vector3 mean_, spread_;
  Vector3 variance_{-1.0, -1.0, -1.0}, half_per_v_{}, half_per_w_{};
  double log_ = 0.0;
};

/// Every fifth of a second first; between two of those only where likelihood changes fast and is
/// near its most, or has an edge: elsewhere it is a straight line, as far as anyone can tell.
template <class TryAt>
void try_where_it_matters(double step_s, const std::vector<double>& log_prior,
                          std::vector<double>& own, std::vector<double>& any, const TryAt& try_at) {
  constexpr double kCoarse_s = 0.2;
  constexpr double kFast = 0.7;  // natural logarithm, between two moments
  constexpr double kFar = 30.0;  // below the most: of no weight
  const std::size_t n = own.size();
  const auto every = static_cast<std::size_t>(std::max(1.0, std::floor(kCoarse_s / step_s + 1e-6)));
  for (std::size_t k = 0; k < n; k += every) try_at(k);
  if (every == 1) return;
  const std::size_t last = (n - 1) / every * every;
  for (std::size_t k = last + 1; k < n; ++k) try_at(k);
  double most = -1e300;
  for (std::size_t k = 0; k < n; k += every) most = std::max(most, log_prior[k] + own[k]);
  const auto is_top = [&](const std::vector<double>& y, std::size_t k) {
    return (k < every || y[k] >= y[k - every]) && (k + every > last || y[k] >= y[k + every]);
  };
  std::vector<std::size_t> close;  // where to look closer: the cells from these on
  for (std::size_t k = 0; k < last; k += every) {
    const std::size_t next = k + every;
    const bool fast = std::abs(own[next] - own[k]) > kFast || std::abs(any[next] - any[k]) > kFast;
    if (!fast) continue;
    const bool heavy = std::max(log_prior[k] + own[k], log_prior[next] + own[next]) > most - kFar;
    if (heavy || is_top(any, k) || is_top(any, next) || is_top(own, k) || is_top(own, next)) {
      close.push_back(k);
    }
  }
  for (std::size_t k = 0; k < last; k += every) {
    for (std::size_t i = 1; i < every; ++i) {
      const double share = static_cast<double>(i) / static_cast<double>(every);
      own[k + i] = own[k] + share * (own[k + every] - own[k]);
      any[k + i] = any[k] + share * (any[k + every] - any[k]);
    }
  }
  for (const std::size_t k : close) {
    for (std::size_t i = 1; i < every; ++i) try_at(k + i);
  }
}

}  // namespace qn::disturbance
