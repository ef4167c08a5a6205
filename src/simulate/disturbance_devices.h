// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "simulate/disturbance_truth.h"

namespace qn::simulate {

/// Draws what each device of the list does. Each device has its own chance: adding one to the end
/// of the list leaves the others as they were.
std::vector<DeviceTruth> draw_devices(const std::vector<Device>& equipment,
                                      const DisturbanceSettings& settings, std::uint64_t seed);

/// A device that does exactly this in each of its states after the reference, and nothing else.
DeviceTruth device_with_fields(const Device& device, const std::vector<Vector3>& fields_uT);

/// Fills in each state's worst heading error from its field.
void judge_states(DeviceTruth& device, double horizontal_uT);

/// An equipment list of `count` invented devices of all kinds, for statistics over many runs.
std::vector<Device> invented_equipment(std::size_t count, std::uint64_t seed);

}  // namespace qn::simulate
