// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "procedure/disturbance_plan.h"

namespace qn {

// How long and how often: the times of a plan, before anything is put into an order.

/// Seconds at either end of a hold and of a rest that are not counted: nobody knows the moment of a
/// switch better than that.
inline constexpr double kUncountedEnd_s = 2.0;
inline constexpr double kLeastHold_s = 12.0;  ///< marks may be 8 s off; holds must not be mixed up
inline constexpr double kLeastPulsing_s = 24.0;
inline constexpr double kLongestHold_s = 120.0;
inline constexpr std::size_t kLeastVisits = 2, kMostVisits = 6;
inline constexpr double kNormal95 = 1.959963984540054;

/// What limits the times of one state of a device.
struct TimeNeeds {
  double least_s = kLeastHold_s;      ///< hold, ends included
  double longest_s = kLongestHold_s;  ///< hold, ends included; may be below least_s and then wins
  double longest_rest_s = 1e9;        ///< while a device it needs is on
  double transit_s = 0.0;
};

struct StateTimes {
  std::size_t visits = kLeastVisits;
  double dwell_s = 0.0;  ///< hold, ends included, not yet rounded or varied
  Angle half_width;
  bool enough = false;
};

struct PlanTimes {
  double rest_s = 0.0;  ///< the common rest, ends included
  std::vector<StateTimes> states;
};

PlanNoise plan_noise(double noise_uT, double rate_Hz);

/// The part of a hold or rest that counts.
double counted_s(double with_ends_s);

/// 95 % half-width of the heading error of a field known to `variance_uT2` along its own direction.
Angle half_width_of(double variance_uT2, double horizontal_uT);

/// One common rest and, for each state, the hold and visits that reach a tenth of the limit in the
/// shortest time altogether. States that cannot reach it get the most visits and the longest hold.
PlanTimes plan_times(const std::vector<TimeNeeds>& needs, const PlanNoise& noise,
                     const PlanOptions& options);

}  // namespace qn
