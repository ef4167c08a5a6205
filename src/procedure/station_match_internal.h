// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace qn::sensor_model {

/// A stretch in which the aircraft stood on one heading.
struct Stop {
  std::size_t begin = 0, end = 0;  ///< samples [begin, end)
  double heading_deg = 0.0;        ///< as read, before it is tied to the airframe
};

/// Finds where the turning stopped: at least `shortest_s` within about a degree. Stops between
/// which the aircraft did not turn are one.
std::vector<Stop> find_stops(const std::vector<double>& time_s,
                             const std::vector<double>& heading_deg, double noise_deg,
                             double shortest_s);

struct StationAlignment {
  std::vector<std::optional<std::size_t>> stop_of_row;  ///< for each row of the stations file
  std::vector<std::size_t> extra_stops;                 ///< stops that no row asks for
  double turn_deg = 0.0;    ///< sensor heading minus station heading, typical
  double spread_deg = 0.0;  ///< typical disagreement after that turn is taken out
  bool backwards = false;   ///< the readings turn the other way round: left-handed axes
  bool ambiguous = false;   ///< another alignment, shifted, fits almost as well
};

/// Rows and stops in order, a missing or an extra one allowed anywhere (edit distance); the turn of
/// the sensor in the airframe is found with it, small turns preferred.
StationAlignment align_stations(const std::vector<double>& stop_heading_deg,
                                const std::vector<double>& row_heading_deg);

}  // namespace qn::sensor_model
