// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "simulate/sensor_truth.h"

namespace qn::simulate {

/// A correction as an estimator would state it: corrected_uT = matrix * (raw_uT - offset_uT).
struct Correction {
  Matrix3 matrix{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
  Vector3 offset_uT{};
};

/// Heading error (indicated minus magnetic, degrees, within +-180) that the aircraft would show at
/// this attitude: raw field without noise, corrected, levelled with the true roll and pitch:
///   level = Ry(pitch)' Rx(roll)' corrected;  indicated = atan2(-level_y, level_x)
double heading_error_deg(const SensorTruth& truth, const Correction& correction,
                         const Attitude& attitude);

/// The largest size of that error over all headings, and where.
struct WorstError {
  double size_deg = 0.0;
  double at_heading_deg = 0.0;
};
WorstError worst_heading_error(const SensorTruth& truth, const Correction& correction,
                               double pitch_deg, double roll_deg);

/// The correction that leaves nothing: matrix = S^-1, offset = h.
Correction perfect_correction(const SensorTruth& truth);

}  // namespace qn::simulate
