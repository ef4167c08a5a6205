// SPDX-License-Identifier: Apache-2.0
#include "simulate/heading_truth.h"

#include <cmath>
#include <cstddef>
#include <numbers>

namespace qn::simulate {

double heading_error_deg(const SensorTruth& truth, const Correction& correction,
                         const Attitude& attitude) {
  Vector3 raw = clean_raw_uT(truth, body_from_earth(attitude));
  for (std::size_t i = 0; i < 3; ++i) raw[i] -= correction.offset_uT[i];
  const Vector3 corrected = product(correction.matrix, raw);
  const Matrix3 body_from_level = body_from_earth({0.0, attitude.pitch_deg, attitude.roll_deg});
  const Vector3 level = product(transposed(body_from_level), corrected);
  const double indicated_deg = std::atan2(-level[1], level[0]) * 180.0 / std::numbers::pi;
  return std::remainder(indicated_deg - attitude.heading_deg, 360.0);
}

WorstError worst_heading_error(const SensorTruth& truth, const Correction& correction,
                               double pitch_deg, double roll_deg) {
  const auto size_at = [&](double heading_deg) {
    return std::abs(heading_error_deg(truth, correction, {heading_deg, pitch_deg, roll_deg}));
  };
  WorstError worst;
  for (int heading = 0; heading < 360; ++heading) {
    const double size = size_at(heading);
    if (size > worst.size_deg) worst = {size, static_cast<double>(heading)};
  }
  // The curve turns smoothly within a degree of its highest whole degree: halve the step there.
  for (double step = 0.5; step > 1e-4; step *= 0.5) {
    for (const double heading : {worst.at_heading_deg - step, worst.at_heading_deg + step}) {
      const double size = size_at(heading);
      if (size > worst.size_deg) worst = {size, heading};
    }
  }
  if (worst.at_heading_deg < 0.0) worst.at_heading_deg += 360.0;
  return worst;
}

Correction perfect_correction(const SensorTruth& truth) {
  return {inverted(truth.soft_iron), truth.hard_iron_uT};
}

}  // namespace qn::simulate
