// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "procedure/sensor_motion_internal.h"
#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn::sensor_model {

/// Fewer than two samples, or nothing ever changes: the sensor or the logger is stuck.
std::optional<Error> check_alive(const SensorRecording& recording);

/// An axis stops at its largest or smallest number while the others go on: clipped at a rail.
std::optional<Error> check_rails(const SensorRecording& recording);

/// Microtesla only: the readings are not near the Earth's field; names the unit they look like.
/// horizontal and total in microtesla.
std::optional<Error> check_unit(const SensorRecording& recording, const Spread& spread,
                                double horizontal, double total);

}  // namespace qn::sensor_model
