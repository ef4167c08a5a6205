// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/analyse_disturbance.h"
#include "app/fit_sensor_log.h"
#include "app/solve_air.h"
#include "app/solve_swing.h"

namespace qn {

// The options of a request as a finding keeps them: one JSON object, only what was given.
std::string options_of(const FitRequest& r);
std::string options_of(const DisturbanceRequest& r);
std::string options_of(const SwingSolveRequest& request);
std::string options_of(const AirRequest& r);

}  // namespace qn
