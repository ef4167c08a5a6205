// SPDX-License-Identifier: Apache-2.0
#include "field/wire_current.h"

#include <cmath>
#include <cstddef>

#include "vocab/expects.h"

namespace qn {
namespace {

constexpr double kMu0Over4Pi_uT_m_per_A = 0.1;

Vector3 difference(const Vector3& a, const Vector3& b) {
  return {a[0] - b[0], a[1] - b[1], a[2] - b[2]};
}

Vector3 cross(const Vector3& a, const Vector3& b) {
  return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}

double dot(const Vector3& a, const Vector3& b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

}  // namespace

Vector3 segment_field_uT(const WireSegment& wire, double current_A, const Vector3& at_m) {
  QN_EXPECTS(wire.radius_m > 0.0);
  const Vector3 along = difference(wire.to_m, wire.from_m);
  const Vector3 a = difference(at_m, wire.from_m);
  const Vector3 b = difference(at_m, wire.to_m);
  // along x a, not a x b: far away a and b are nearly parallel and their product loses all digits.
  const Vector3 turn = cross(along, a);
  const double turn2 = dot(turn, turn);
  if (turn2 == 0.0) return {};  // on the wire's own line, or a wire of no length
  const double size_a = std::sqrt(dot(a, a));
  const double size_b = std::sqrt(dot(b, b));
  const double product = size_a * size_b;
  const double ab = dot(a, b);
  // Beside the wire a and b point apart and product + ab cancels; both sides times product - ab
  // make the denominator product * |along x a|^2, which does not.
  double factor = ab < 0.0 ? (size_a + size_b) * (product - ab) / (product * turn2)
                           : (size_a + size_b) / (product * (product + ab));
  const double distance2 = turn2 / dot(along, along);
  const double radius2 = wire.radius_m * wire.radius_m;
  const bool beside = ab < 0.0 || size_a < wire.radius_m || size_b < wire.radius_m;
  if (beside && distance2 < radius2) factor *= distance2 / radius2;
  const double scale = kMu0Over4Pi_uT_m_per_A * current_A * factor;
  return {scale * turn[0], scale * turn[1], scale * turn[2]};
}

Vector3 polyline_field_uT(std::span<const Vector3> points_m, double current_A, const Vector3& at_m,
                          double radius_m) {
  Vector3 sum{};
  for (std::size_t i = 1; i < points_m.size(); ++i) {
    const Vector3 part =
        segment_field_uT({points_m[i - 1], points_m[i], radius_m}, current_A, at_m);
    for (std::size_t k = 0; k < 3; ++k) sum[k] += part[k];
  }
  return sum;
}

}  // namespace qn
