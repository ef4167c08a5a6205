// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/simulate_disturbance.h"
#include "simulate/disturbance_recording_maker.h"

namespace qn {

// The documents of a simulated disturbance run, as the bytes of their files.
std::string simulated_disturbance_log_csv(const SimulateDisturbanceRequest& request,
                                          const simulate::SimulatedRun& run);
std::string simulated_heading_csv(const SimulateDisturbanceRequest& request,
                                  const simulate::SimulatedRun& run,
                                  const simulate::HeadingDisplay& display);
std::string simulated_marks_csv(const SimulateDisturbanceRequest& request,
                                const simulate::SimulatedRun& run);
std::string disturbance_truth_json(const SimulateDisturbanceRequest& request,
                                   const simulate::SimulatedRun& run,
                                   const std::string& analyse_command);

}  // namespace qn
