// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

#include "vocab/angle.h"
#include "vocab/expects.h"

namespace qn {

// Which north a heading is counted from. Empty on purpose: they only name types.
struct TrueNorth {};
struct MagneticNorth {};
struct CompassNorth {};

/// The one place where degrees are wrapped: any finite value to [0, 360).
inline double wrap_360_deg(double deg) {
  QN_EXPECTS(std::isfinite(deg));
  const double turn = std::fmod(deg, 360.0);
  const double wrapped = turn < 0.0 ? turn + 360.0 : turn;
  return wrapped >= 360.0 ? 0.0 : wrapped + 0.0;  // -1e-20 + 360 rounds to 360; -0.0 becomes 0
}

/// Any finite value to (-180, 180].
inline double wrap_180_deg(double deg) {
  QN_EXPECTS(std::isfinite(deg));
  const double d = std::remainder(deg, 360.0);
  return d == -180.0 ? 180.0 : d;
}

/// A direction on the compass rose: a point, not a difference. Always in [0, 360) degrees.
template <class North>
class Heading {
 public:
  static Heading degrees(double deg) { return Heading{wrap_360_deg(deg)}; }
  double in_deg() const { return deg_; }

  /// Shortest way round, in (-180, 180] degrees.
  friend Angle operator-(Heading a, Heading b) {
    return Angle::degrees(wrap_180_deg(a.deg_ - b.deg_));
  }
  friend Heading operator+(Heading h, Angle a) { return degrees(h.deg_ + a.in_deg()); }
  friend bool operator==(Heading, Heading) = default;

 private:
  explicit Heading(double deg) : deg_{deg} {}
  double deg_;
};

using TrueHeading = Heading<TrueNorth>;
using MagneticHeading = Heading<MagneticNorth>;
using CompassHeading = Heading<CompassNorth>;

/// Magnetic north seen from true north (declination), east positive.
struct Variation {
  Angle east_positive;
};
/// Magnetic heading minus indicated heading, east positive.
struct Deviation {
  Angle east_positive;
};

inline TrueHeading to_true(MagneticHeading h, Variation v) {
  return TrueHeading::degrees(h.in_deg()) + v.east_positive;
}
inline MagneticHeading to_magnetic(TrueHeading h, Variation v) {
  return MagneticHeading::degrees(h.in_deg()) + -v.east_positive;
}
inline MagneticHeading to_magnetic(CompassHeading h, Deviation d) {
  return MagneticHeading::degrees(h.in_deg()) + d.east_positive;
}

}  // namespace qn
