// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "procedure/air_check.h"

namespace qn {

struct AirPlanOptions {
  double tas_kt = 0.0;
  double wind_from_deg = 0.0, wind_kt = 0.0;  ///< a guess; true
  double minutes = 0.0;                       ///< for the legs and the turns between them
  double leg_minutes = 3.0;                   ///< one leg with the turn and settling before it
  AirOptions assumed;                         ///< sigmas, variation
};

struct PlannedLeg {
  double indicated_deg = 0.0;                    ///< to fly
  double at_minute = 0.0;                        ///< middle of the leg
  double track_deg = 0.0, groundspeed_kt = 0.0;  ///< as expected with that wind; true track
};

struct AirPlan {
  std::vector<PlannedLeg> legs;
  std::array<double, 5> sigma_deg{};  ///< of A..E as the flight will give them
  double curve_sigma_deg = 0.0;       ///< where the curve is known worst, sideslip included
  double even_sigma_deg = 0.0;        ///< the same, of as many legs spread evenly, in one round
  double wind_sigma_kt = 0.0;
  std::vector<std::string> cautions, remarks, assumptions;
};

/// The legs that make the bands smallest for the minutes available: all headings are moved in
/// turn, one at a time, on a grid of 5 degrees, until none helps (optimal design by exchange;
/// the largest sigma of the curve over all headings is made small).
///
/// errors  OutOfRange: an airspeed, wind or time that cannot be; too little time for three legs
/// cost    some tens of milliseconds
Result<AirPlan> plan_air(const AirPlanOptions& options);

}  // namespace qn
