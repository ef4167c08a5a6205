// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

#include "vocab/field_vector.h"

namespace qn {

/// Fields of currents in thin straight wires, by the law of Biot and Savart.
///
/// Positions are metres in any one right-handed frame; the field comes out in its axes, in
/// microtesla. A current is positive from the first point toward the last.

/// A straight piece of wire. The radius only matters inside the copper: there the field falls
/// linearly to zero on the axis, so that no position is forbidden.
struct WireSegment {
  Vector3 from_m{};
  Vector3 to_m{};
  double radius_m = 0.0005;  ///< above 0
};

/// The part of the field that this piece adds at `at_m`; by itself, without its neighbours and its
/// return, it is not a field that can exist.
///
/// accuracy  about 1e-15 relative, far away and along the wire's own line alike
/// source    docs/math/wire-field.md
Vector3 segment_field_uT(const WireSegment& wire, double current_A, const Vector3& at_m);

/// A wire through all the points in turn. For a closed loop give the first point again at the end.
Vector3 polyline_field_uT(std::span<const Vector3> points_m, double current_A, const Vector3& at_m,
                          double radius_m = 0.0005);

}  // namespace qn
