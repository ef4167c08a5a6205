// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_curve.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kDegPerRad = 180.0 / std::numbers::pi;

struct Waves {
  double sin1, cos1, sin2, cos2;
};

Waves waves_at(double z_deg) {
  const double z = z_deg / kDegPerRad;
  const double s = std::sin(z);
  const double c = std::cos(z);
  return {s, c, 2.0 * s * c, c * c - s * s};
}

DeviationCurve::Value series_at(const SwingCoefficients& k, const Waves& w) {
  DeviationCurve::Value v;
  v.per_coefficient = {1.0, w.sin1, w.cos1, w.sin2, w.cos2};
  for (std::size_t j = 0; j < 5; ++j) v.deviation_deg += k[j] * v.per_coefficient[j];
  v.slope = (k[1] * w.cos1 - k[2] * w.sin1 + 2.0 * (k[3] * w.cos2 - k[4] * w.sin2)) / kDegPerRad;
  return v;
}

// P sin d - Q cos d = R has the closed solution d = atan2(Q, P) + asin(R / hypot(P, Q)).
DeviationCurve::Value exact_at(const SwingCoefficients& k_deg, const Waves& w) {
  SwingCoefficients k = k_deg;
  for (double& x : k) x /= kDegPerRad;
  const double p = 1.0 - k[3] * w.cos2 + k[4] * w.sin2;
  const double q = k[0] + k[3] * w.sin2 + k[4] * w.cos2;
  const double r = k[1] * w.sin1 + k[2] * w.cos1;
  const double size = std::max(std::hypot(p, q), 1e-9);
  const double d = std::atan2(q, p) + std::asin(std::clamp(r / size, -0.999, 0.999));
  const double sd = std::sin(d);
  const double cd = std::cos(d);
  const double sin2d = w.sin2 * cd + w.cos2 * sd;  // sin(2z + d)
  const double cos2d = w.cos2 * cd - w.sin2 * sd;
  const double steep = std::max(p * cd + q * sd, 0.05);  // 0 where the compass loses its way
  DeviationCurve::Value v;
  v.deviation_deg = d * kDegPerRad;
  v.slope = (k[1] * w.cos1 - k[2] * w.sin1 + 2.0 * (k[3] * cos2d - k[4] * sin2d)) / steep;
  v.per_coefficient = {cd / steep, w.sin1 / steep, w.cos1 / steep, sin2d / steep, cos2d / steep};
  return v;
}

}  // namespace

DeviationCurve::Value DeviationCurve::at(double indicated_deg) const {
  const Waves w = waves_at(indicated_deg);
  return form == DeviationForm::series ? series_at(coefficients_deg, w)
                                       : exact_at(coefficients_deg, w);
}

SwingCoefficients exact_from_series(const SwingCoefficients& k_deg) {
  SwingCoefficients s;  // natural sines of those in degrees
  SwingCoefficients v;  // and versed sines
  for (std::size_t j = 0; j < 5; ++j) {
    s[j] = std::sin(k_deg[j] / kDegPerRad);
    v[j] = 1.0 - std::cos(k_deg[j] / kDegPerRad);
  }
  SwingCoefficients out = {s[0],
                           s[1] * (1.0 + 0.5 * s[3] + v[1] / 12.0 - v[2] / 4.0) + 0.5 * s[2] * s[4],
                           s[2] * (1.0 - 0.5 * s[3] + v[2] / 12.0 - v[1] / 4.0) + 0.5 * s[1] * s[4],
                           s[3] * (1.0 + v[3] / 3.0), s[4] - s[0] * s[3]};
  for (double& x : out) x *= kDegPerRad;
  return out;
}

DeviationCurve::Value reading_on(const DeviationCurve& curve, double magnetic_deg, double near_deg,
                                 double& indicated_deg) {
  double z = near_deg;
  DeviationCurve::Value value;
  for (int i = 0; i < 30; ++i) {
    value = curve.at(z);
    const double miss = wrap_180_deg(magnetic_deg - z - value.deviation_deg);
    // A floor under the slope keeps the steps short where the compass hardly turns at all.
    z += std::clamp(miss / std::max(1.0 + value.slope, 0.3), -30.0, 30.0);
    if (std::fabs(miss) < 1e-6) break;  // the step just made leaves its square
  }
  indicated_deg = z;
  return value;
}

double indicated_on(const DeviationCurve& curve, double magnetic_deg, double near_deg) {
  double z = near_deg;
  reading_on(curve, magnetic_deg, near_deg, z);
  return z;
}

}  // namespace qn
