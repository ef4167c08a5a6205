// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/sensor_prepare_internal.h"
#include "procedure/station_match_internal.h"

namespace qn::sensor_model {

/// Known headings found in the recording, and the turn of the sensor that they show.
struct KnownHeadings {
  std::vector<HeadingFix> fixes;
  std::vector<StationMatch> stations;
  double turn_rad = 0.0;  ///< sensor heading minus known heading, typical
};

/// Ties known headings and the stations file to samples, with a first solution without headings.
///
/// errors  BadInput when a known time is outside the recording, when no stop matches a station, or
///         when the readings turn the other way round (left-handed axes)
Result<KnownHeadings> find_headings(const Prepared& prepared, const SensorFitOptions& options,
                                    const Problem& problem, const Solution& first,
                                    std::vector<std::string>& notes);

/// The corrected heading of every sample, degrees, in the axes of the solution.
std::vector<double> headings_deg(const Log& log, const Layout& layout, const Parameters& theta);

/// After turn_axes: the same fixes in the turned axes.
void turn_fixes(std::vector<HeadingFix>& fixes, double turn_rad);

}  // namespace qn::sensor_model
