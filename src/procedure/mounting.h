// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>

#include "vocab/angle.h"
#include "vocab/field_vector.h"
#include "vocab/frame.h"

namespace qn {

/// Each body axis as a signed sensor axis: {index 0..2, sign +1/-1}.
struct SignedAxis {
  std::size_t axis = 0;
  int sign = 1;
};

/// none when an axis is used twice or the axes would be mirrored (left-handed).
std::optional<Rotation<Body, Sensor>> mounting_from_axes(const std::array<SignedAxis, 3>& body_xyz);

/// The sensor's axes come from the body's by turning about z by yaw (clockwise seen from above),
/// then about the new y by pitch (x up), then about the new x by roll (y down).
Rotation<Body, Sensor> mounting_from_angles(Angle yaw, Angle pitch, Angle roll);

}  // namespace qn
