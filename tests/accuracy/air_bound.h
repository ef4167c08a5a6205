// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "simulate/flight_maker.h"

namespace qn::accuracy {

/// Cramer-Rao bound (1 sigma) of an air check by hand readings: wind east and north, airspeed,
/// A to E. Worked out by differences of the readings as the truth makes them, apart from the
/// estimator, with the sizes of the noise known; of prior knowledge only what the estimator prints.
struct AirBound {
  std::array<double, 2> wind_kt{};
  double tas_kt = 0.0;
  std::array<double, 5> coefficients_deg{};
};
///
/// reading_step  tracks and speeds are rounded to this, degrees and knots
AirBound air_bound(const simulate::FlightTruth& truth, const std::vector<double>& magnetic_deg,
                   double leg_s, double reading_step = 1.0);

/// The same of a recording in which every leg is found whole, its settling left out: the wander of
/// airspeed and wind averages out over a leg, the error of the display on it does not.
AirBound air_log_bound(simulate::FlightTruth truth, const std::vector<double>& magnetic_deg,
                       double leg_s);

}  // namespace qn::accuracy
