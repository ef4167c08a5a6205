// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "procedure/disturbance_run.h"
#include "simulate/disturbance_recording_maker.h"

namespace qn::accuracy {

/// One simulated disturbance run and what the analysis is told about it.
struct DisturbanceCase {
  simulate::SimulatedRun made;
  DisturbanceOptions options;
};

/// disturbance-clean, disturbance-ordinary, disturbance-hard
std::vector<std::string> disturbance_table_names();

/// How the runs of a table are drawn, and every number of the scenario: for the table's reader.
std::string how_disturbance_drawn(std::string_view table);

/// table must be one of disturbance_table_names(). The same seed draws the same case.
DisturbanceCase draw_disturbance_case(std::string_view table, std::uint64_t seed);

}  // namespace qn::accuracy
