// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "procedure/steady_legs.h"

namespace qn {

/// Means over two seconds; the heading runs on past 360.
struct FlightBin {
  double from_s = 0.0, to_s = 0.0;
  double heading_deg = 0.0;
  double east_kt = 0.0, north_kt = 0.0;
  double roll_deg = 0.0;  ///< NaN: not recorded
  double tas_kt = 0.0;    ///< NaN: not recorded
  double speed_kt() const;
};

/// Bins that follow each other without a gap.
struct FlightRun {
  std::vector<FlightBin> bins;
};

inline constexpr double kFlightBin_s = 2.0;
inline constexpr double kLongestGap_s = 6.0;

/// Bins with heading and ground velocity; where one of them is missing for longer than the gap
/// allowed, a new run begins.
std::vector<FlightRun> bins_of(const FlightLog& log);

/// First bins of the stretches of one run between which heading or ground velocity changes;
/// begins with 0 and ends with the number of bins.
std::vector<std::size_t> change_points(const FlightRun& run);

}  // namespace qn
