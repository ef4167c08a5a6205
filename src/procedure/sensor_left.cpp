// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/sensor_left_internal.h"

namespace qn::sensor_model {
namespace {

double dot(const Vector3& a, const Vector3& b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

Vector3 times(const Matrix3& a, const Vector3& v) {
  return {dot(a[0], v), dot(a[1], v), dot(a[2], v)};
}

// Body axes of north and east at one attitude: a field's parts along them give the heading error.
struct Bearings {
  Vector3 north{}, east{};
};

Bearings bearings_of(double heading, double roll, double pitch) {
  // earth_in_body is linear in (H, Z); an eastward field is a northward one a quarter turn on.
  return {earth_in_body(1.0, 0.0, heading, roll, pitch),
          earth_in_body(1.0, 0.0, heading - 0.5 * std::numbers::pi, roll, pitch)};
}

}  // namespace

std::vector<double> worst_left_rad(const std::vector<LeftOver>& draws, std::size_t headings,
                                   double roll_rad, double pitch_rad) {
  std::vector<Bearings> bearings(headings);
  for (std::size_t i = 0; i < headings; ++i) {
    const double heading =
        2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(headings);
    bearings[i] = bearings_of(heading, roll_rad, pitch_rad);
  }
  const Vector3 down = earth_in_body(0.0, 1.0, 0.0, roll_rad, pitch_rad);
  std::vector<double> worst(draws.size());
  for (std::size_t d = 0; d < draws.size(); ++d) {
    const LeftOver& left = draws[d];
    Vector3 fixed = times(left.gain, down);
    for (std::size_t k = 0; k < 3; ++k) fixed[k] = fixed[k] * left.down_uT + left.shift_uT[k];
    double steepest = 0.0;  // |east / north|: the same order as the angle, without the arctangent
    double beyond = 0.0;    // angles of a quarter turn and more, which that order cannot hold
    for (const Bearings& at : bearings) {
      Vector3 x = times(left.gain, at.north);
      for (std::size_t k = 0; k < 3; ++k) x[k] = x[k] * left.horizontal_uT + fixed[k];
      const double north = dot(x, at.north);
      const double east = std::abs(dot(x, at.east));
      if (north > 0.0) {
        steepest = std::max(steepest, east / north);
      } else {
        beyond = std::max(beyond, std::atan2(east, north));
      }
    }
    worst[d] = std::max(beyond, std::atan(steepest));
  }
  return worst;
}

}  // namespace qn::sensor_model
