// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "vocab/sample.h"

namespace qn::disturbance {

/// Turns every sample's field back to the attitude in which the airframe mostly stood, by roll and
/// pitch of the log, or by gravity where an accelerometer was logged; heading is taken to have
/// stayed. Movements within half a second are left in: they are the attitude's own noise, mostly.
///
/// log      body axes; roll_deg and pitch_deg are filled in where gravity gave them
/// returns  whether the log holds an attitude; if not, nothing is changed
bool hold_still(SensorRecording& log);

}  // namespace qn::disturbance
