// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>

#include "vocab/field_vector.h"

namespace qn {

/// How the airframe leans: roll right wing down positive, pitch nose up positive, radians.
struct Lean {
  double roll_rad = 0.0, pitch_rad = 0.0;
};

/// Body axes into level axes (ahead, right, down; heading as it is).
inline Vector3 levelled(const Vector3& body, const Lean& lean) {
  const double right = body[1] * std::cos(lean.roll_rad) - body[2] * std::sin(lean.roll_rad);
  const double down_rolled = body[1] * std::sin(lean.roll_rad) + body[2] * std::cos(lean.roll_rad);
  return {body[0] * std::cos(lean.pitch_rad) + down_rolled * std::sin(lean.pitch_rad), right,
          -body[0] * std::sin(lean.pitch_rad) + down_rolled * std::cos(lean.pitch_rad)};
}

/// The way back: level axes into body axes.
inline Vector3 leaned(const Vector3& level, const Lean& lean) {
  const double x = level[0] * std::cos(lean.pitch_rad) - level[2] * std::sin(lean.pitch_rad);
  const double z = level[0] * std::sin(lean.pitch_rad) + level[2] * std::cos(lean.pitch_rad);
  return {x, level[1] * std::cos(lean.roll_rad) + z * std::sin(lean.roll_rad),
          -level[1] * std::sin(lean.roll_rad) + z * std::cos(lean.roll_rad)};
}

/// From gravity in body axes, in g. Nothing where its size differs from 1 by `tolerance_g` or more:
/// then the device was in motion, and what it shows is not gravity alone.
inline std::optional<Lean> lean_from_gravity(const Vector3& down_g, double tolerance_g) {
  const double size = std::hypot(down_g[0], down_g[1], down_g[2]);
  if (!(std::abs(size - 1.0) < tolerance_g)) return std::nullopt;
  return Lean{std::atan2(down_g[1], down_g[2]),
              std::asin(std::clamp(-down_g[0] / size, -1.0, 1.0))};
}

}  // namespace qn
