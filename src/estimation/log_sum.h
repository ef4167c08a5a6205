// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>

namespace qn {

/// log(exp(a) + exp(b)) without overflow; minus infinity stands for no weight at all.
inline double log_sum(double a, double b) {
  const double top = std::max(a, b);
  return std::isinf(top) ? top : top + std::log(std::exp(a - top) + std::exp(b - top));
}

}  // namespace qn
