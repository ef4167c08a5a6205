// SPDX-License-Identifier: Apache-2.0
#include "procedure/mounting.h"

#include <cmath>

namespace qn {

std::optional<Rotation<Body, Sensor>> mounting_from_axes(
    const std::array<SignedAxis, 3>& body_xyz) {
  Matrix3 rows{};
  for (std::size_t i = 0; i < 3; ++i) rows[i][body_xyz[i].axis] = body_xyz[i].sign;
  const auto& r = rows;
  const double determinant = r[0][0] * (r[1][1] * r[2][2] - r[1][2] * r[2][1]) -
                             r[0][1] * (r[1][0] * r[2][2] - r[1][2] * r[2][0]) +
                             r[0][2] * (r[1][0] * r[2][1] - r[1][1] * r[2][0]);
  if (determinant < 0.5) return std::nullopt;
  return Rotation<Body, Sensor>::from_rows(rows);
}

Rotation<Body, Sensor> mounting_from_angles(Angle yaw, Angle pitch, Angle roll) {
  const double cy = std::cos(yaw.in_rad()), sy = std::sin(yaw.in_rad());
  const double cp = std::cos(pitch.in_rad()), sp = std::sin(pitch.in_rad());
  const double cr = std::cos(roll.in_rad()), sr = std::sin(roll.in_rad());
  // Columns: the sensor's x, y, z axes written in body axes.
  return Rotation<Body, Sensor>::from_rows(
      {{{cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr},
        {sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr},
        {-sp, cp * sr, cp * cr}}});
}

}  // namespace qn
