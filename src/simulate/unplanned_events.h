// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "simulate/disturbance_truth.h"

namespace qn::simulate {

/// Draws what happens by itself within the recording, spikes included, and adds it to the field.
///
/// returns  in time order
std::vector<EventTruth> add_unplanned_events(const Unplanned& unplanned,
                                             const std::vector<double>& time_s, std::uint64_t seed,
                                             std::vector<Vector3>& field_uT);

}  // namespace qn::simulate
