// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <compare>
#include <numbers>

namespace qn {

/// A difference of directions in a plane. East and clockwise (seen from above) are positive
/// everywhere in this project. Not wrapped: 370 degrees and 10 degrees are different angles.
class Angle {
 public:
  constexpr Angle() = default;
  static constexpr Angle degrees(double deg) { return Angle{deg}; }
  static constexpr Angle radians(double rad) { return Angle{rad / kRadPerDeg}; }
  constexpr double in_deg() const { return deg_; }
  constexpr double in_rad() const { return deg_ * kRadPerDeg; }

  friend constexpr Angle operator+(Angle a, Angle b) { return Angle{a.deg_ + b.deg_}; }
  friend constexpr Angle operator-(Angle a, Angle b) { return Angle{a.deg_ - b.deg_}; }
  friend constexpr Angle operator-(Angle a) { return Angle{-a.deg_}; }
  friend constexpr Angle operator*(double k, Angle a) { return Angle{k * a.deg_}; }
  friend constexpr auto operator<=>(Angle, Angle) = default;

 private:
  static constexpr double kRadPerDeg = std::numbers::pi / 180.0;
  explicit constexpr Angle(double deg) : deg_{deg} {}
  double deg_ = 0.0;  // degrees, so that a value typed in degrees comes out digit for digit
};

}  // namespace qn
