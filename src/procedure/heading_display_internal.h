// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/heading_run.h"

namespace qn::heading_only {

/// What a display showed, as a log that the disturbance solver can take.
struct Display {
  /// Microtesla. x: H times the display's change from rest in radians, with even noise of one
  /// rounding step added: the solver would take a display that stands on one figure for one without
  /// noise. y and z: noise of the same size, which says nothing.
  SensorRecording pseudo;
  std::vector<double> change_uT;  ///< x without the added noise
  DisplayLog log;
  double rounding_rad = 0.0;  ///< 1 sigma of what rounding leaves in a mean over any length of time
};

/// number  1 for the first log: for messages
Result<Display> read_display(const HeadingLog& log, double horizontal_uT, std::size_t number);

/// 1 sigma of the error that rounding to `step` leaves in the mean of a reading with noise `sigma`,
/// its level anywhere between two steps: step / sqrt(12) without noise, soon nothing with it.
double rounding_sigma(double step, double sigma);

}  // namespace qn::heading_only
