// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

namespace qn {

/// log(exp(a) + exp(b)) without overflow; minus infinity stands for no weight at all.
inline double log_sum(double a, double b) {
  constexpr double kNothing = 37.0;  // exp(-37) is lost in 1
  const double top = std::max(a, b);
  const double gap = top - std::min(a, b);
  return gap <= kNothing ? top + std::log(1.0 + std::exp(-gap)) : top;
}

/// The same of many; minus infinity when there are none.
inline double log_sum(std::span<const double> logs) {
  if (logs.empty()) return -std::numeric_limits<double>::infinity();
  constexpr double kNothing = 50.0;
  const double top = *std::max_element(logs.begin(), logs.end());
  if (std::isinf(top)) return top;
  double sum = 0.0;
  for (const double x : logs) sum += top - x < kNothing ? std::exp(x - top) : 0.0;
  return top + std::log(sum);
}

}  // namespace qn
