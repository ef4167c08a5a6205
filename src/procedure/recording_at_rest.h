// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "earth/local_field.h"
#include "vocab/field_vector.h"
#include "vocab/frame.h"
#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// What no analysis of a standing aircraft can do without: a field in microtesla, near the Earth's
/// in size, from a sensor whose every axis is alive. At rest hard iron hides a part of the Earth's
/// field, so that only a wrong unit or a wrong sensor is refused, not a disturbed place.
///
/// errors  BadInput, naming "the sensor log" and the column: raw counts; fewer than two samples
///         or 10 s; nothing ever changes; one axis never changes though the sensor resolves small
///         steps; the size is far from the Earth's, with the unit that it looks like
std::optional<Error> check_recording_at_rest(const SensorRecording& recording,
                                             const LocalField& earth);

/// The recording in body axes: field and accelerometer turned by the mounting. Roll and pitch are
/// the airframe's already.
SensorRecording in_body_axes(SensorRecording recording, const Rotation<Body, Sensor>& mounting);

}  // namespace qn
