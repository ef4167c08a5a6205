// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "procedure/sensor_model_internal.h"

namespace qn::sensor_model {

/// What a correction leaves when the truth is one draw from its posterior: the corrected reading of
/// a field B is `gain * B + shift`, where the heading would be exact for gain 1 and shift 0.
struct LeftOver {
  Matrix3 gain{};
  Vector3 shift_uT{};
  double horizontal_uT = 0.0, down_uT = 0.0;  ///< the Earth's field of the same draw
};

/// Largest heading error over `headings` regular headings at one roll and pitch, one for each draw,
/// in radians.
///
/// cost  about 15 multiplications a draw and heading; no trigonometry inside
std::vector<double> worst_left_rad(const std::vector<LeftOver>& draws, std::size_t headings,
                                   double roll_rad, double pitch_rad);

}  // namespace qn::sensor_model
