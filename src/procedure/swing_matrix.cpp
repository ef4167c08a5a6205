// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "procedure/swing_matrix_internal.h"

namespace qn {

SwingSpread spread_of_information(const SwingMatrix& information) {
  constexpr std::size_t n = kSwingParameters;
  SwingSpread out;
  SwingMatrix lower{};  // information = lower lower'
  double product = 1.0;
  for (std::size_t j = 0; j < n; ++j) {
    double pivot = information[j][j];
    for (std::size_t k = 0; k < j; ++k) pivot -= lower[j][k] * lower[j][k];
    if (!(pivot > 1e-13 * information[j][j])) return out;
    product *= pivot;
    lower[j][j] = std::sqrt(pivot);
    for (std::size_t i = j + 1; i < n; ++i) {
      double sum = information[i][j];
      for (std::size_t k = 0; k < j; ++k) sum -= lower[i][k] * lower[j][k];
      lower[i][j] = sum / lower[j][j];
    }
  }
  out.log_determinant = std::log(product);
  // root = inverse of lower, transposed.
  for (std::size_t j = 0; j < n; ++j) {
    out.root[j][j] = 1.0 / lower[j][j];
    for (std::size_t i = j + 1; i < n; ++i) {
      double sum = 0.0;
      for (std::size_t k = j; k < i; ++k) sum -= lower[i][k] * out.root[j][k];
      out.root[j][i] = sum / lower[i][i];
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i; j < n; ++j) {
      double sum = 0.0;
      for (std::size_t k = j; k < n; ++k) sum += out.root[i][k] * out.root[j][k];
      out.covariance[i][j] = out.covariance[j][i] = sum;
    }
  }
  out.positive = true;
  return out;
}

SwingParameters times(const SwingMatrix& a, const SwingParameters& x) {
  SwingParameters out{};
  for (std::size_t i = 0; i < kSwingParameters; ++i) {
    for (std::size_t j = 0; j < kSwingParameters; ++j) out[i] += a[i][j] * x[j];
  }
  return out;
}

double quadratic(const SwingMatrix& a, const SwingParameters& x) {
  double sum = 0.0;
  const SwingParameters ax = times(a, x);
  for (std::size_t i = 0; i < kSwingParameters; ++i) sum += x[i] * ax[i];
  return sum;
}

}  // namespace qn
