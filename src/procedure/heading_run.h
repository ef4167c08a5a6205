// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "procedure/disturbance_run.h"
#include "procedure/heading_only.h"
#include "vocab/mark.h"
#include "vocab/parallel.h"
#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// One disturbance run of which only the display was logged.
struct HeadingLog {
  SensorRecording recording;  ///< heading_deg filled, magnetic as displayed; no field is needed
  std::vector<Mark> marks;
  std::optional<double> aircraft_heading_deg;  ///< magnetic; none: what the display shows at rest
};

/// Finds what each device does to the sensor from what a display showed, on one heading of the
/// aircraft or on several (docs/math/heading-only.md).
///
/// A display bounds nothing along the heading: with one heading, or with headings in line, every
/// state is `unproven` and says to turn the aircraft. Fields of the answer lie along the ground
/// (their z is 0 with a sigma of kUnseen_uT). Times, visits and trace are of the first log; the
/// trace's x is H times the change of the display in radians, its y and z are 0.
///
/// logs     at least one, each 10 s or longer
/// source   blended or unknown: how the display follows a step is estimated from strong steps; when
///          there are none, every size is `unproven`
/// errors   BadInput as analyse_disturbance; what concerns a further log begins with "log 2, "
/// cost     that of analyse_disturbance for each log, and about 100 solutions of as many columns as
///          there are visits where the response is estimated
Result<DisturbanceRun> analyse_heading_logs(const std::vector<HeadingLog>& logs,
                                            const DisturbanceOptions& options, HeadingSource source,
                                            const ParallelFor& parallel);

/// 1 sigma of a component of the field that no heading shows: far beyond the Earth's.
inline constexpr double kUnseen_uT = 1000.0;

}  // namespace qn
