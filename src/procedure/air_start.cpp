// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/air_fit_internal.h"

namespace qn {
namespace {

constexpr double kStartRad = std::numbers::pi / 180.0;

bool any_airspeed(const std::vector<AirRow>& rows) {
  return std::any_of(rows.begin(), rows.end(),
                     [](const AirRow& r) { return r.tas_kt.has_value(); });
}

double mean_speed(const std::vector<AirRow>& rows) {
  double sum = 0.0;
  for (const AirRow& r : rows) sum += r.groundspeed_kt;
  return sum / static_cast<double>(rows.size());
}

// g = [cos z, sin z; -sin z, cos z] (T sin A, T cos A) + w, linear in four unknowns; B to E are
// left to the full fit. A weak prior keeps what the legs do not tell near a still day.
AirParameters from_headings(const std::vector<AirRow>& rows, const AirPrior& prior) {
  NormalEquations sums{4};
  for (const AirRow& r : rows) {
    if (!r.indicated_deg || !r.track_deg) continue;
    const double z = (*r.indicated_deg + prior.track_minus_heading_deg) * kStartRad;
    const double t = *r.track_deg * kStartRad;
    const double s = std::sin(z);
    const double c = std::cos(z);
    sums.add_row({c, s, 1.0, 0.0}, -r.groundspeed_kt * std::sin(t), 1.0);
    sums.add_row({-s, c, 0.0, 1.0}, -r.groundspeed_kt * std::cos(t), 1.0);
  }
  for (std::size_t j = 0; j < 4; ++j) sums.information(j, j) += 1e-6;
  const auto x = solve_step(sums, 0.0);
  AirParameters out{};
  out[0] = x[2];
  out[1] = x[3];
  out[kAirSpeed] = std::hypot(x[0], x[1]);
  out[kAirA] = std::atan2(x[0], x[1]) / kStartRad;
  return out;
}

// |g|^2 = 2 g.w + T^2 - |w|^2 is linear in w and T^2 - |w|^2.
AirParameters from_circle(const std::vector<AirRow>& rows) {
  NormalEquations sums{3};
  for (const AirRow& r : rows) {
    if (!r.track_deg) continue;
    const double t = *r.track_deg * kStartRad;
    const double v = r.groundspeed_kt;
    sums.add_row({2.0 * v * std::sin(t), 2.0 * v * std::cos(t), 100.0}, -v * v, 100.0);
  }
  for (std::size_t j = 0; j < 3; ++j) sums.information(j, j) += 1e-9;
  const auto x = solve_step(sums, 0.0);
  AirParameters out{};
  out[0] = x[0];
  out[1] = x[1];
  out[kAirSpeed] = std::sqrt(std::max(100.0 * x[2] + x[0] * x[0] + x[1] * x[1], 100.0));
  return out;
}

}  // namespace

AirParameters start_air(const std::vector<AirRow>& rows, const AirPrior& prior) {
  std::size_t both = 0;
  std::size_t tracks = 0;
  for (const AirRow& r : rows) {
    if (r.track_deg) ++tracks;
    if (r.track_deg && r.indicated_deg) ++both;
  }
  AirParameters out{};
  out[kAirSpeed] = mean_speed(rows);
  if (both >= 2) {
    out = from_headings(rows, prior);
  } else if (tracks >= 3) {
    out = from_circle(rows);
  }
  const double mean = mean_speed(rows);
  if (!(out[kAirSpeed] > 0.2 * mean && out[kAirSpeed] < 5.0 * mean)) {
    out[0] = out[1] = 0.0;
    out[kAirSpeed] = mean;
  }
  if (any_airspeed(rows)) out[kAirSpeed] = 0.0;  // there it is the error of what was shown
  return out;
}

}  // namespace qn
