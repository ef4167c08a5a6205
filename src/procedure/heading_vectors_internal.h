// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "procedure/disturbance_sum.h"

namespace qn::heading_only {

/// The angles by which one log's display turned, on one heading of the aircraft.
struct TurnedDisplay {
  double aircraft_heading_rad = 0.0;  ///< magnetic
  double heading_sigma_rad = 0.0;
  std::vector<double> turned_rad;
  SquareMatrix covariance_rad2;
  std::vector<std::size_t> field;  ///< for each angle, the field that turned it
};

/// The horizontal fields that explain the angles: for each, b_x sin z + b_y cos z = -H sin(eps),
/// z the display while on, eps its change. Exact, whatever the size.
///
/// logs     covariances positive definite
/// fields   how many there are; one that only one heading shows keeps kUnseen_uT along it
/// returns  z of each field is 0 with variance kUnseen_uT^2. H's own error is not in the
///          covariance: a heading error found from a display does not depend on H
JointFields horizontal_fields(const std::vector<TurnedDisplay>& logs, std::size_t fields,
                              double horizontal_uT);

/// The part of a field that a display turned by `turned_rad` shows, body axes, microtesla.
Vector3 part_seen(double aircraft_heading_rad, double turned_rad, double horizontal_uT);

}  // namespace qn::heading_only
