// SPDX-License-Identifier: Apache-2.0
#include "estimation/length_band.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "vocab/expects.h"

namespace qn {
namespace {

constexpr double kTail = 0.025;
constexpr double kTwoSided = 1.959963984540054;  // normal quantile of 0.975
constexpr std::size_t kNodes = 32;
constexpr std::size_t kPoints = 512;

double normal_probability(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

struct Quadrature {
  std::array<double, kNodes> node{}, weight{};
};

// Gauss-Legendre on (-1, 1): Newton on the Legendre polynomial from the usual cosine start.
Quadrature gauss_legendre() {
  Quadrature out;
  constexpr auto n = static_cast<double>(kNodes);
  for (std::size_t i = 0; i < kNodes; ++i) {
    double x = std::cos(std::numbers::pi * (static_cast<double>(i) + 0.75) / (n + 0.5));
    double slope = 1.0;
    for (int step = 0; step < 8; ++step) {
      double before = 1.0;
      double value = x;
      for (std::size_t k = 2; k <= kNodes; ++k) {
        const auto order = static_cast<double>(k);
        const double next = ((2.0 * order - 1.0) * x * value - (order - 1.0) * before) / order;
        before = value;
        value = next;
      }
      slope = n * (before - x * value) / (1.0 - x * x);
      x -= value / slope;
    }
    out.node[i] = x;
    out.weight[i] = 2.0 / ((1.0 - x * x) * slope * slope);
  }
  return out;
}

const Quadrature& quadrature() {
  static const Quadrature kRule = gauss_legendre();
  return kRule;
}

// A vector along the axes of its own covariance: `wide` the larger standard deviation.
struct OwnAxes {
  double wide = 0.0, narrow = 0.0;              // standard deviations
  double along_wide = 0.0, along_narrow = 0.0;  // mean
};

OwnAxes own_axes(const PlaneEstimate& v) {
  const double mean = 0.5 * (v.var_x + v.var_y);
  const double half = 0.5 * (v.var_x - v.var_y);
  const double radius = std::hypot(half, v.cov_xy);
  const double turn = 0.5 * std::atan2(v.cov_xy, half);
  OwnAxes out;
  out.wide = std::sqrt(std::max(0.0, mean + radius));
  // A direction that is known exactly would divide by zero.
  out.narrow = std::max(std::sqrt(std::max(0.0, mean - radius)), 1e-6 * out.wide);
  out.along_wide = v.x * std::cos(turn) + v.y * std::sin(turn);
  out.along_narrow = -v.x * std::sin(turn) + v.y * std::cos(turn);
  return out;
}

// The narrow axis is the outer one, so that the inner probability is the smoother function. With
// narrow = radius sin(theta) the end of the disc is no square-root corner.
double probability_in_disc(const OwnAxes& v, double radius) {
  constexpr double kReach = 6.5;
  const double from =
      std::asin(std::clamp((v.along_narrow - kReach * v.narrow) / radius, -1.0, 1.0));
  const double to = std::asin(std::clamp((v.along_narrow + kReach * v.narrow) / radius, -1.0, 1.0));
  if (!(to > from)) return 0.0;
  const double half = 0.5 * (to - from);
  double sum = 0.0;
  for (std::size_t i = 0; i < kNodes; ++i) {
    const double theta = 0.5 * (from + to) + half * quadrature().node[i];
    const double chord = radius * std::cos(theta);
    const double z = (radius * std::sin(theta) - v.along_narrow) / v.narrow;
    const double inside = normal_probability((chord - v.along_wide) / v.wide) -
                          normal_probability((-chord - v.along_wide) / v.wide);
    sum += quadrature().weight[i] * chord * std::exp(-0.5 * z * z) * inside;
  }
  return half * sum / (v.narrow * std::sqrt(2.0 * std::numbers::pi));
}

// The likeliest vector of length x: mean / (1 + m variance) along each axis, the multiplier m (here
// in units of 1 / wide^2) found by Newton on 1 / length, which is nearly a straight line in m.
OwnAxes likeliest_of_length(const OwnAxes& found, double x) {
  OwnAxes out = found;
  out.along_wide = 0.0;
  out.along_narrow = 0.0;
  if (!(x > 0.0)) return out;
  const double narrow = found.narrow * found.narrow / (found.wide * found.wide);
  // Exactly across the wide axis a longer vector may lean to either side: choose one.
  const double a =
      std::copysign(std::max(std::abs(found.along_wide), 1e-6 * found.wide), found.along_wide);
  const double b = found.along_narrow;
  double low = -1.0;
  double high = 1e18;
  double m = 0.0;
  for (int step = 0; step < 40; ++step) {
    out.along_wide = a / (1.0 + m);
    out.along_narrow = b / (1.0 + m * narrow);
    const double square = out.along_wide * out.along_wide + out.along_narrow * out.along_narrow;
    const double length = std::sqrt(square);
    if (std::abs(length - x) <= 1e-7 * x) break;
    (length > x ? low : high) = m;
    const double slope = (out.along_wide * out.along_wide / (1.0 + m) +
                          out.along_narrow * out.along_narrow * narrow / (1.0 + m * narrow)) /
                         (square * length);
    m += (1.0 / x - 1.0 / length) / slope;
    if (!(m > low && m < high)) m = high < 1e18 ? 0.5 * (low + high) : 2.0 * low + 2.0;
  }
  return out;
}

// Root of an increasing function between low (negative there) and high (positive there), by false
// position that halves the weight of an end which stays (the Illinois rule).
double root_between(double low, double high, double tolerance,
                    const std::function<double(double)>& f) {
  double at_low = f(low);
  double at_high = f(high);
  int last = 0;
  double x = high;
  for (int step = 0; step < 40 && high - low > tolerance; ++step) {
    x = at_high > at_low ? low - at_low * (high - low) / (at_high - at_low) : 0.5 * (low + high);
    const double value = f(x);
    if (std::abs(value) <= tolerance) return x;
    if (value < 0.0) {
      low = x;
      at_low = value;
      if (last < 0) at_high *= 0.5;
      last = -1;
    } else {
      high = x;
      at_high = value;
      if (last > 0) at_low *= 0.5;
      last = 1;
    }
  }
  return x;
}

// excess(x, p): how far the p-quantile of what would be found at true length x lies above what was
// found, in any increasing measure of the size of `spread`.
std::pair<double, double> invert(double observed, double spread,
                                 const std::function<double(double, double)>& excess) {
  const double tolerance = 1e-3 * spread;
  std::pair<double, double> band{0.0, kTwoSided * spread};
  if (excess(0.0, 1.0 - kTail) < 0.0) {
    double high = observed;
    double low = std::max(0.0, observed - 4.0 * spread);
    while (low > 0.0 && excess(low, 1.0 - kTail) >= 0.0) {
      high = low;
      low = std::max(0.0, low - 4.0 * spread);
    }
    band.first =
        root_between(low, high, tolerance, [&](double x) { return excess(x, 1.0 - kTail); });
  }
  if (excess(0.0, kTail) < 0.0) {
    double low = excess(observed, kTail) < 0.0 ? observed : 0.0;
    double high = observed + 2.5 * spread;
    for (int i = 0; i < 60 && excess(high, kTail) < 0.0; ++i) {
      low = high;
      high += 2.0 * spread;
    }
    const double end =
        root_between(low, high, tolerance, [&](double x) { return excess(x, kTail); });
    band.second = std::max(band.second, end);
  }
  return {std::clamp(band.first, 0.0, observed), std::max(band.second, observed)};
}

}  // namespace

double probability_shorter(const PlaneEstimate& vector, double radius) {
  QN_EXPECTS(radius >= 0.0);
  const OwnAxes axes = own_axes(vector);
  if (radius == 0.0) return 0.0;
  if (!(axes.wide > 0.0)) return std::hypot(vector.x, vector.y) < radius ? 1.0 : 0.0;
  return std::clamp(probability_in_disc(axes, radius), 0.0, 1.0);
}

std::pair<double, double> plane_length_band_95(const PlaneEstimate& vector) {
  const double observed = std::hypot(vector.x, vector.y);
  const OwnAxes axes = own_axes(vector);
  if (!(axes.wide > 0.0)) return {observed, observed};
  if (!(observed > 0.0)) return {0.0, kTwoSided * axes.wide};
  const auto excess = [&](double x, double p) {
    const double shorter =
        std::clamp(probability_in_disc(likeliest_of_length(axes, x), observed), 1e-12, 1.0 - 1e-12);
    // In normal deviates, where the dependence on x is nearly a straight line.
    return axes.wide * (normal_quantile(p) - normal_quantile(shorter));
  };
  return invert(observed, axes.wide, excess);
}

std::pair<double, double> length_band_95(double observed, double spread,
                                         const std::function<double(double, double)>& quantile_at) {
  if (!(spread > 0.0)) return {observed, observed};
  return invert(observed, spread, [&](double x, double p) { return quantile_at(x, p) - observed; });
}

Matrix3 lower_root(const Matrix3& a) {
  Matrix3 root{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double rest = a[i][j];
      for (std::size_t k = 0; k < j; ++k) rest -= root[i][k] * root[j][k];
      if (i == j) {
        // What rounding leaves of a direction without variance is none.
        root[i][i] = rest > 1e-14 * a[i][i] ? std::sqrt(rest) : 0.0;
      } else if (root[j][j] > 0.0) {
        root[i][j] = rest / root[j][j];
      }
    }
  }
  return root;
}

namespace {

Vector3 times(const Matrix3& lower, const Vector3& z) {
  return {lower[0][0] * z[0], lower[1][0] * z[0] + lower[1][1] * z[1],
          lower[2][0] * z[0] + lower[2][1] * z[1] + lower[2][2] * z[2]};
}

// Opposite pairs of an additive recurrence with the powers of 1/g, g the real root of g^4 = g + 1
// (M. Roberts 2018), the three-dimensional relative of the golden ratio; then brought to unit
// covariance exactly.
std::vector<Vector3> standard_points() {
  constexpr double g = 1.2207440846057596;
  std::vector<Vector3> points(kPoints);
  Matrix3 covariance{};
  for (std::size_t k = 0; k < kPoints; k += 2) {
    const std::size_t pair = k / 2 + 1;
    double step = 1.0;
    for (std::size_t i = 0; i < 3; ++i) {
      step /= g;
      const double u = 0.5 + static_cast<double>(pair) * step;
      points[k][i] = normal_quantile(u - std::floor(u));
      points[k + 1][i] = -points[k][i];
    }
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) {
        covariance[i][j] += 2.0 / static_cast<double>(kPoints) * points[k][i] * points[k][j];
      }
    }
  }
  const Matrix3 root = lower_root(covariance);
  for (Vector3& z : points) {
    z[0] /= root[0][0];
    z[1] = (z[1] - root[1][0] * z[0]) / root[1][1];
    z[2] = (z[2] - root[2][0] * z[0] - root[2][1] * z[1]) / root[2][2];
  }
  return points;
}

}  // namespace

std::vector<Vector3> gaussian_points(const Matrix3& covariance) {
  static const std::vector<Vector3> kStandard = standard_points();
  const Matrix3 root = lower_root(covariance);
  std::vector<Vector3> out;
  out.reserve(kPoints);
  for (const Vector3& z : kStandard) out.push_back(times(root, z));
  return out;
}

}  // namespace qn
