// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "simulate/disturbance_devices.h"
#include "simulate/disturbance_settings.h"
#include "simulate/disturbance_truth.h"
#include "vocab/mark.h"
#include "vocab/sample.h"

namespace qn::simulate {

/// A disturbance run, and beside it everything that an analysis must not see.
struct SimulatedRun {
  SensorRecording recording;
  std::vector<Mark> marks;  ///< in time order, states by their names
  DisturbanceTruth truth;
};

/// The aircraft stands still, every state of every device is worked in turn, then everything at
/// once and each phase's set. Deterministic: the same arguments give the same numbers, and each
/// fault has its own chance, so that taking one out leaves the others as they were.
///
/// equipment  each with at least two states; `with` names another of the list
SimulatedRun make_disturbance_run(const std::vector<Device>& equipment,
                                  const DisturbanceSettings& settings, std::uint64_t seed);

/// The same with devices that do what the caller says (device_with_fields).
SimulatedRun make_disturbance_run(const std::vector<DeviceTruth>& devices,
                                  const DisturbanceSettings& settings, std::uint64_t seed);

}  // namespace qn::simulate
