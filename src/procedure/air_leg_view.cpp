// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <numbers>

#include "procedure/air_fit_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kAirRad = std::numbers::pi / 180.0;
using Plane = std::array<double, 2>;  // east, north

double dot(const Plane& a, const Plane& b) { return a[0] * b[0] + a[1] * b[1]; }

Plane pointing(double deg) { return {std::sin(deg * kAirRad), std::cos(deg * kAirRad)}; }

/// Covariance of a ground velocity, symmetric: east, both, north.
struct Spread {
  double ee = 0.0, en = 0.0, nn = 0.0;
  void add(const Plane& along, double variance) {
    ee += variance * along[0] * along[0];
    en += variance * along[0] * along[1];
    nn += variance * along[1] * along[1];
  }
  double across(const Plane& p) const {
    return ee * p[0] * p[0] + 2.0 * en * p[0] * p[1] + nn * p[1] * p[1];
  }
};

struct Linearised {
  Plane air{}, aside{};  ///< unit vectors: where the nose points, and to the right of it
  Plane left{};          ///< observed ground velocity minus expected
  Plane per_heading{};   ///< kt per degree of indicated heading
  Spread spread;         ///< with the readings' own errors
  std::array<Plane, kAirParameters> gradient{};
  Plane track{};  ///< unit vector of the expected ground velocity
};

// The expected ground velocity, expanded about the nuisance and taken at the readings: with the
// covariance of that expansion, least squares over the parameters is least squares over the
// parameters and the nuisances together.
Linearised linearise(const AirRow& row, DeviationForm form, const AirParameters& theta,
                     const AirPrior& prior, const AirScales& scales, const AirNuisance& at) {
  Linearised out;
  const auto value = air_curve(form, theta).at(at.indicated_deg);
  const Plane wind = {theta[0] + theta[8] * row.hours, theta[1] + theta[9] * row.hours};
  double heading = at.indicated_deg + value.deviation_deg + prior.track_minus_heading_deg;
  const Plane seen = row.track_deg ? Plane{row.groundspeed_kt * std::sin(*row.track_deg * kAirRad),
                                           row.groundspeed_kt * std::cos(*row.track_deg * kAirRad)}
                                   : Plane{};
  if (!row.indicated_deg) {
    heading = std::atan2(seen[0] - wind[0], seen[1] - wind[1]) / kAirRad;
  }
  out.air = pointing(heading);
  out.aside = pointing(heading + 90.0);
  const Plane ground = {at.tas_kt * out.air[0] + wind[0], at.tas_kt * out.air[1] + wind[1]};
  const double speed = std::max(std::hypot(ground[0], ground[1]), 1e-6);
  out.track = {ground[0] / speed, ground[1] / speed};
  out.left = row.track_deg ? Plane{seen[0] - ground[0], seen[1] - ground[1]}
                           : Plane{(row.groundspeed_kt - speed) * out.track[0],
                                   (row.groundspeed_kt - speed) * out.track[1]};
  const double v = scales.velocity * scales.velocity;
  const Plane along = row.track_deg ? pointing(*row.track_deg) : out.track;
  const double cross = row.groundspeed_kt * prior.track_sigma_deg * kAirRad;
  out.spread.add(along, v * prior.speed_sigma_kt * prior.speed_sigma_kt);
  out.spread.add({along[1], -along[0]}, v * cross * cross);
  out.spread.add({1.0, 0.0}, v * prior.wind_sigma_kt * prior.wind_sigma_kt);
  out.spread.add({0.0, 1.0}, v * prior.wind_sigma_kt * prior.wind_sigma_kt);
  out.spread.add(out.air, v * prior.airspeed_sigma_kt * prior.airspeed_sigma_kt);
  const double off_tas = airspeed_of(row, theta) - at.tas_kt;
  for (std::size_t i = 0; i < 2; ++i) out.left[i] -= out.air[i] * off_tas;
  if (row.indicated_deg) {
    const double per_deg = at.tas_kt * (1.0 + value.slope) * kAirRad;
    const double off = wrap_180_deg(*row.indicated_deg - at.indicated_deg);
    out.per_heading = {per_deg * out.aside[0], per_deg * out.aside[1]};
    for (std::size_t i = 0; i < 2; ++i) out.left[i] -= out.per_heading[i] * off;
    const double sigma = scales.heading * prior.heading_sigma_deg;
    out.spread.add(out.aside, per_deg * per_deg * sigma * sigma);
    for (std::size_t j = 0; j < 5; ++j) {
      const double by = at.tas_kt * kAirRad * value.per_coefficient[j];
      out.gradient[kAirA + j] = {by * out.aside[0], by * out.aside[1]};
    }
  }
  const double sign = row.tas_kt ? -1.0 : 1.0;
  out.gradient[0] = {1.0, 0.0};
  out.gradient[1] = {0.0, 1.0};
  out.gradient[kAirSpeed] = {sign * out.air[0], sign * out.air[1]};
  out.gradient[kAirRate] = {row.hours, 0.0};
  out.gradient[kAirRate + 1] = {0.0, row.hours};
  return out;
}

void improve(const AirRow& row, const AirParameters& theta, const AirPrior& prior,
             const AirScales& scales, const Linearised& l, AirNuisance& at) {
  const double v_tas = scales.velocity * prior.airspeed_sigma_kt;
  if (!row.indicated_deg || !row.track_deg) {
    const Plane along = row.track_deg ? l.air : l.track;
    const double part = dot(along, l.left) / l.spread.across(along);
    at.tas_kt = airspeed_of(row, theta) + v_tas * v_tas * dot(along, l.air) * part;
    if (row.indicated_deg) {
      const double s = scales.heading * prior.heading_sigma_deg;
      at.indicated_deg = *row.indicated_deg + s * s * dot(along, l.per_heading) * part;
    }
    return;
  }
  const Spread& c = l.spread;
  const double det = c.ee * c.nn - c.en * c.en;
  const Plane pull = {(c.nn * l.left[0] - c.en * l.left[1]) / det,
                      (c.ee * l.left[1] - c.en * l.left[0]) / det};
  const double s = scales.heading * prior.heading_sigma_deg;
  at.indicated_deg = *row.indicated_deg + s * s * dot(l.per_heading, pull);
  at.tas_kt = airspeed_of(row, theta) + v_tas * v_tas * dot(l.air, pull);
}

void add_projection(AirLegView& view, const Linearised& l, const Plane& along, double sigma) {
  view.residual[view.rows] = dot(along, l.left) / sigma;
  for (std::size_t j = 0; j < kAirParameters; ++j) {
    view.gradient[view.rows][j] = dot(along, l.gradient[j]) / sigma;
  }
  view.log_determinant += 2.0 * std::log(sigma);
  ++view.rows;
}

}  // namespace

AirLegView view_air_leg(const AirRow& row, DeviationForm form, const AirParameters& theta,
                        const AirPrior& prior, const AirScales& scales, AirNuisance& nuisance) {
  for (int i = 0; i < 2; ++i) {
    improve(row, theta, prior, scales, linearise(row, form, theta, prior, scales, nuisance),
            nuisance);
  }
  const Linearised l = linearise(row, form, theta, prior, scales, nuisance);
  AirLegView view;
  if (!row.indicated_deg && !row.track_deg) return view;
  if (!row.indicated_deg || !row.track_deg) {
    const Plane along = row.track_deg ? l.air : l.track;
    add_projection(view, l, along, std::sqrt(l.spread.across(along)));
    return view;
  }
  // Cholesky of the 2 x 2 covariance, row by row.
  const double first = std::sqrt(l.spread.ee);
  const double lower = l.spread.en / first;
  const double second = std::sqrt(std::max(l.spread.nn - lower * lower, 1e-12));
  add_projection(view, l, {1.0, 0.0}, first);
  add_projection(view, l, {-lower / first, 1.0}, second);
  return view;
}

std::array<double, 2> ground_velocity(double indicated_deg, double tas_kt, double hours,
                                      DeviationForm form, const AirParameters& theta,
                                      const AirPrior& prior) {
  const Plane air = pointing(indicated_deg + air_curve(form, theta).deviation_deg(indicated_deg) +
                             prior.track_minus_heading_deg);
  return {tas_kt * air[0] + theta[0] + theta[8] * hours,
          tas_kt * air[1] + theta[1] + theta[9] * hours};
}

std::array<double, 2> air_velocity(const AirRow& row, const AirParameters& theta) {
  const Plane along = pointing(*row.track_deg);
  return {row.groundspeed_kt * along[0] - theta[0] - theta[kAirRate] * row.hours,
          row.groundspeed_kt * along[1] - theta[1] - theta[kAirRate + 1] * row.hours};
}

double airspeed_of(const AirRow& row, const AirParameters& theta) {
  return row.tas_kt ? *row.tas_kt - theta[kAirSpeed] : theta[kAirSpeed];
}

DeviationCurve air_curve(DeviationForm form, const AirParameters& theta) {
  return {form, {theta[3], theta[4], theta[5], theta[6], theta[7]}};
}

}  // namespace qn
