// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/air_check.h"

namespace qn {

/// What was recorded in flight, one entry a row in each column, in the order of time. NaN: not
/// said in that row.
struct FlightLog {
  std::vector<double> time_s, indicated_deg, track_deg, groundspeed_kt, roll_deg, tas_kt;
  void add(double time, double indicated, double track, double speed, double roll, double tas);
  std::size_t size() const { return time_s.size(); }
};

struct SteadyOptions {
  double least_s = 30.0;   ///< shorter legs are not used
  double settle_s = 10.0;  ///< left out after a turn: heading and airspeed come to rest
};

/// A stretch of the flight, used or not; together they cover it without a hole.
struct FlightStretch {
  double from_s = 0.0, to_s = 0.0;
  bool used = false;
  std::string why_not;  ///< for people, with numbers; empty when used
  AirLeg leg;           ///< means over the stretch, when used
};

/// Legs flown straight, level and at one speed: heading and ground velocity constant but for their
/// usual wander, wings level where roll was recorded. Found by change points with a penalty on
/// two-second means, so that nobody has to mark them.
///
/// cost  linear in the rows but for stretches without a change, where it is their square
std::vector<FlightStretch> find_steady_legs(const FlightLog& log, const SteadyOptions& options);

/// The answer when none of the stretches is used: `unproven`, and why.
AirSolution nothing_steady(const std::vector<FlightStretch>& stretches,
                           const SteadyOptions& options);

}  // namespace qn
