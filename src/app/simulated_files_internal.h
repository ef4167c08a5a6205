// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "simulate/scenario.h"

namespace qn {

// The three documents of a simulation, as the bytes of their files.
std::string simulated_log_csv(const simulate::Scenario& scenario,
                              const simulate::SimulatedRecording& made);
std::string simulated_stations_csv(const simulate::Scenario& scenario,
                                   const simulate::SimulatedRecording& made);
std::string simulated_truth_json(const simulate::Scenario& scenario, const LocalField& model,
                                 const simulate::SimulatedRecording& made,
                                 const std::string& fit_command);

}  // namespace qn
