// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "simulate/disturbance_truth.h"
#include "simulate/operator_script.h"
#include "simulate/random.h"

namespace qn::simulate {

/// What all devices together do at each sample. As long as the times.
struct DeviceSignals {
  explicit DeviceSignals(std::size_t count)
      : field_uT(count), roll_deg(count), pitch_deg(count), current_A(count) {}
  std::vector<Vector3> field_uT;
  std::vector<double> roll_deg, pitch_deg;  ///< of the airframe, against its rest
  std::vector<double> current_A;
};

/// Adds one device that switches at these moments (in time order), sampled at `time_s`.
///
/// A step is there from the sample at its moment on. Pulses are averaged over the interval that
/// ends with the sample, as a sensor does; so their mean is exact however short they are.
void add_device(const DeviceTruth& device, const std::vector<Switch>& switches,
                const std::vector<double>& time_s, double interval_s, Random vibration,
                DeviceSignals& sum);

}  // namespace qn::simulate
