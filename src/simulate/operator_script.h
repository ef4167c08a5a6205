// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "simulate/disturbance_truth.h"
#include "vocab/mark.h"

namespace qn::simulate {

/// A device really begins to change to this state.
struct Switch {
  double at_s = 0.0;
  std::size_t device = 0;
  std::size_t state = 0;
};

/// What the operator does and what he writes down. The two differ by the faults of the settings.
struct OperatorScript {
  std::vector<std::vector<Switch>> switches;  ///< for each device, in time order
  std::vector<Mark> marks;                    ///< in time order
  std::vector<MarkTruth> mark_truths;         ///< one for each mark
  std::vector<Span> everything_on_s;
  double end_s = 0.0;
};

OperatorScript write_script(const std::vector<DeviceTruth>& devices,
                            const DisturbanceSettings& settings, std::uint64_t seed);

/// The phases of the list in the order in which they first appear.
std::vector<std::string> phases_of(const std::vector<DeviceTruth>& devices);
bool belongs_to_phase(const Device& device, const std::string& phase);

}  // namespace qn::simulate
