// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "vocab/field_vector.h"

namespace qn::simulate {

// The simulator's own rotations, on purpose not shared with the estimators: one wrong sign in a
// common routine would cancel and no test would see it. tests/simulate checks them by hand values.

/// How the airframe is turned in the Earth: heading clockwise from magnetic north, pitch nose up
/// positive, roll right wing down positive.
struct Attitude {
  double heading_deg = 0.0;
  double pitch_deg = 0.0;
  double roll_deg = 0.0;
};

/// Rows are the body axes in (magnetic north, east, down), so that it takes an Earth vector into
/// body axes:  R = Rx(roll) Ry(pitch) Rz(heading), with
///   Rz(h) = [ cos h  sin h  0 ; -sin h  cos h  0 ; 0 0 1 ]
///   Ry(p) = [ cos p  0  -sin p ; 0 1 0 ; sin p  0  cos p ]
///   Rx(r) = [ 1 0 0 ; 0  cos r  sin r ; 0  -sin r  cos r ]
Matrix3 body_from_earth(const Attitude& attitude);

/// The angles of such a matrix; pitch within +-90, roll within +-180, heading in [0, 360).
Attitude attitude_of(const Matrix3& R_body_earth);

/// A plane piece of ground: rises toward magnetic north (east) by these angles.
struct Slope {
  double north_deg = 0.0;
  double east_deg = 0.0;
};

/// How the airframe sits on its wheels: turns with the aircraft, wherever it points.
struct DeckTilt {
  double roll_deg = 0.0;
  double pitch_deg = 0.0;
};

/// An aircraft standing on a slope, its wheels' line pointing to `heading_deg`.
///
/// The ground is d = -(n tan a + e tan b), a and b the slopes to north and east, so its downward
/// normal is z = (tan a, tan b, 1) / length. Seen along the heading, z = (zf, zr, zd) with
/// zf = zn cos h + ze sin h and zr = -zn sin h + ze cos h. The third row of Rx Ry is
/// (sin p cos r, -sin r, cos p cos r), hence pitch = atan2(zf, zd), roll = -asin(zr): on ground
/// rising to the north the nose points up on heading north and down on heading south.
/// The deck tilt then turns the airframe against that: R = Rx(deck roll) Ry(deck pitch) R_wheels.
Matrix3 body_from_earth_on_ground(double heading_deg, const Slope& slope, const DeckTilt& deck);

Matrix3 product(const Matrix3& a, const Matrix3& b);
Matrix3 transposed(const Matrix3& a);
Vector3 product(const Matrix3& a, const Vector3& v);
/// a must not be singular.
Matrix3 inverted(const Matrix3& a);
/// Rotation about the unit axis by the angle, right-handed (Rodrigues): takes vectors with it.
Matrix3 about_axis(const Vector3& axis, double angle_rad);

}  // namespace qn::simulate
