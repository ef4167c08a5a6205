// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "procedure/run_plan.h"

namespace qn::run {

/// The turning of a sensor fit: onto each station in turn, and a wait there. Its marks have the
/// station's heading as their device ("030") and kOnStation as their state.
///
/// stations_deg  magnetic headings, 0 to below 360, in the order they are visited
/// wait_s        on each, until its rest can be told from the turning
Plan turning_plan(const std::vector<double>& stations_deg, double wait_s);
inline constexpr double kStationWait_s = 15.0;
inline constexpr const char* kOnStation = "there";

/// Evenly spaced from north on, clockwise; `count` divides 360.
std::vector<double> even_stations_deg(std::size_t count);

/// "030", "22.5": how a station is named.
std::string station_name(double station_deg);

/// The heading that a mark of this procedure is for.
std::optional<double> station_of(const std::string& device);

}  // namespace qn::run
