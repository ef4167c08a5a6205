// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "app/fit_sensor_log.h"

namespace qn {

/// Turns the texts of a request into options of the procedure; stations are not read here.
/// errors  OutOfRange naming the option
Result<SensorFitOptions> parse_fit_options(const FitRequest& request);

}  // namespace qn
