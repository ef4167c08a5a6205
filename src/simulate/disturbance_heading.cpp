// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_heading.h"

#include <cmath>

namespace qn::simulate {

WorstError worst_heading_error_of(const Vector3& field_body_uT, double horizontal_uT) {
  // Exactly nothing, and not the rounding of the arc tangents.
  if (field_body_uT[0] == 0.0 && field_body_uT[1] == 0.0) return {};
  SensorTruth sensor;
  sensor.true_field.horizontal_uT = horizontal_uT;
  sensor.hard_iron_uT = field_body_uT;
  WorstError worst = worst_heading_error(sensor, {}, 0.0, 0.0);
  if (std::hypot(field_body_uT[0], field_body_uT[1]) >= horizontal_uT) worst.size_deg = 180.0;
  return worst;
}

}  // namespace qn::simulate
