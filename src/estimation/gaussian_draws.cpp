// SPDX-License-Identifier: Apache-2.0
#include "estimation/gaussian_draws.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "vocab/expects.h"

namespace qn {
namespace {

// SplitMix64 (Steele, Lea, Flood 2014): small, seedable, good enough for percentiles. The standard
// library's normal distribution is left to each implementation and would tie digits to a compiler.
class UniformStream {
 public:
  explicit UniformStream(std::uint64_t seed) : state_{seed} {}
  double next() {  // in (0, 1)
    state_ += 0x9E3779B97F4A7C15ULL;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    z ^= z >> 31;
    return (static_cast<double>(z >> 11) + 0.5) * 0x1.0p-53;
  }

 private:
  std::uint64_t state_;
};

}  // namespace

// Rational approximation in three ranges (P. J. Acklam's published coefficients).
double normal_quantile(double p) {
  QN_EXPECTS(p > 0.0 && p < 1.0);
  constexpr double a[] = {-3.969683028665376e+01, 2.209460984245205e+02,  -2.759285104469687e+02,
                          1.383577518672690e+02,  -3.066479806614716e+01, 2.506628277459239e+00};
  constexpr double b[] = {-5.447609879822406e+01, 1.615858368580409e+02, -1.556989798598866e+02,
                          6.680131188771972e+01, -1.328068155288572e+01};
  constexpr double c[] = {-7.784894002430293e-03, -3.223964580411365e-01, -2.400758277161838e+00,
                          -2.549732539343734e+00, 4.374664141464968e+00,  2.938163982698783e+00};
  constexpr double d[] = {7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00,
                          3.754408661907416e+00};
  constexpr double kTail = 0.02425;
  const auto tail = [&](double q) {
    return (((((c[0] * q + c[1]) * q + c[2]) * q + c[3]) * q + c[4]) * q + c[5]) /
           ((((d[0] * q + d[1]) * q + d[2]) * q + d[3]) * q + 1.0);
  };
  if (p < kTail) return tail(std::sqrt(-2.0 * std::log(p)));
  if (p > 1.0 - kTail) return -tail(std::sqrt(-2.0 * std::log(1.0 - p)));
  const double q = p - 0.5;
  const double r = q * q;
  return (((((a[0] * r + a[1]) * r + a[2]) * r + a[3]) * r + a[4]) * r + a[5]) * q /
         (((((b[0] * r + b[1]) * r + b[2]) * r + b[3]) * r + b[4]) * r + 1.0);
}

std::vector<double> gaussian_draws(const SquareMatrix& covariance, std::size_t count,
                                   std::uint64_t seed) {
  const auto n = static_cast<Eigen::Index>(covariance.size);
  Eigen::MatrixXd a(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      a(i, j) = covariance(static_cast<std::size_t>(i), static_cast<std::size_t>(j));
    }
  }
  Eigen::VectorXd s = a.diagonal().cwiseMax(0.0).cwiseSqrt();
  for (Eigen::Index i = 0; i < n; ++i) s[i] = s[i] > 0.0 ? s[i] : 1.0;
  const Eigen::VectorXd inverse = s.cwiseInverse();
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(inverse.asDiagonal() * a *
                                                             inverse.asDiagonal());
  const Eigen::MatrixXd root = s.asDiagonal() * eigen.eigenvectors() *
                               eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
  UniformStream uniform{seed};
  std::vector<double> draws(count * covariance.size);
  Eigen::VectorXd z(n);
  for (std::size_t k = 0; k < count; ++k) {
    if (k % 2 == 0) {
      for (Eigen::Index i = 0; i < n; ++i) z[i] = normal_quantile(uniform.next());
    } else {
      z = -z;
    }
    Eigen::Map<Eigen::VectorXd>(draws.data() + k * covariance.size, n) = root * z;
  }
  return draws;
}

double quantile(std::vector<double>& values, double q) {
  QN_EXPECTS(!values.empty());
  const double position = q * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::ptrdiff_t>(position);
  std::nth_element(values.begin(), values.begin() + below, values.end());
  const double low = values[static_cast<std::size_t>(below)];
  if (static_cast<std::size_t>(below) + 1 == values.size()) return low;
  const double high = *std::min_element(values.begin() + below + 1, values.end());
  return low + (position - static_cast<double>(below)) * (high - low);
}

}  // namespace qn
