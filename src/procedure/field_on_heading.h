// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "earth/local_field.h"
#include "vocab/band.h"
#include "vocab/field_vector.h"

namespace qn {

/// What a field fixed to the airframe does to the heading, exactly, however strong it is.
///
/// With b the disturbing field in body axes and the sensor levelled:
/// north part n = H + b_x cos psi - b_y sin psi, east part e = b_x sin psi + b_y cos psi, and
/// indicated - magnetic = -atan2(e, n). The worst over psi is asin(|b_horizontal| / H); from
/// |b_horizontal| = H on the heading is lost (180 degrees).

/// Indicated minus magnetic heading, (-180, 180] degrees, level, on magnetic heading `heading_deg`.
double heading_error_deg(const Vector3& field_body_uT, double horizontal_uT, double heading_deg);

/// Largest size over all headings, level.
Angle worst_heading_error(const Vector3& field_body_uT, double horizontal_uT);

/// The magnetic heading at which it is largest (of the two, the one where the error is positive).
double worst_at_heading_deg(const Vector3& field_body_uT, double horizontal_uT);

/// Largest size over all headings and all attitudes with |bank| <= 30 and |pitch| <= 15 degrees,
/// the sensor levelled by true roll and pitch: the part of b along the ground then is
/// sqrt(|b|^2 - (d'b)^2), d the unit vector downward in body axes.
Angle worst_tilted_heading_error(const Vector3& field_body_uT, double horizontal_uT);

/// A field as it is known: estimate and covariance, in body axes.
struct UncertainField {
  Vector3 field_uT{};
  Matrix3 covariance_uT2{};
};

struct FieldHeadingError {
  static constexpr std::size_t kHeadings = 72;  ///< every 5 degrees from 0
  Angle worst;
  Band95 worst_95;  ///< two-sided, by inversion: the length of a vector is biased up
  double worst_at_heading_deg = 0.0;
  Angle worst_tilted;
  Band95 worst_tilted_95;
  std::vector<double> curve_deg;  ///< kHeadings values
  std::vector<Band95> curve_95;
};

/// The heading error of an uncertain field, the uncertainty of the Earth's H included.
FieldHeadingError heading_error_of(const UncertainField& field, const LocalField& earth);

}  // namespace qn
