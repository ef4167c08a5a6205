// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/sensor_fit.h"
#include "procedure/sensor_ground_internal.h"
#include "procedure/sensor_motion_internal.h"
#include "procedure/sensor_solve_internal.h"

namespace qn::sensor_model {

/// Where the roll and pitch of the samples come from.
enum class AttitudeSource { none, columns, accelerometer, stations };

/// The recording made ready for the model, and how to get back from it to the user's numbers.
struct Prepared {
  Log log;
  Motion motion = Motion::tumble;
  AttitudeSource source = AttitudeSource::none;
  double scale = 1.0;  ///< nominal microtesla per raw unit
  Matrix3 axes{};      ///< nominal body axes = axes * sensor axes (mounting, then any turn found)
  double turn_rad = 0.0;  ///< the turn found: the reading as mounted shows this much more heading
  /// Roll and pitch of a level turn, as logged; NaN where unknown, empty when there are none.
  std::vector<double> ground_roll_rad, ground_pitch_rad;
  std::optional<LoggedGround> ground;  ///< what they say of slope and tilt
  std::vector<std::string> notes;
};

/// Takes mounting and nominal scale out and decides how attitude is known.
/// errors  BadInput when the plane of a level turn is not the horizontal plane of the axes as
///         mounted, or the logged vertical is upside down
Result<Prepared> prepare(const SensorRecording& recording, const SensorFitOptions& options,
                         const Spread& spread, Motion motion);

/// Turns nominal body axes about the vertical so that headings fall by turn_rad.
void turn_axes(Prepared& prepared, double turn_rad);

/// Which numbers are solved for this recording, and what is assumed of them.
Problem make_problem(const Prepared& prepared, const SensorFitOptions& options,
                     std::vector<HeadingFix> fixes);

/// Round start of the solution: a circle or sphere of the nominal field.
Parameters make_start(const Prepared& prepared, const Problem& problem, const Spread& spread);

}  // namespace qn::sensor_model
