// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/heading_run.h"
#include "simulate/disturbance_heading.h"
#include "simulate/disturbance_recording_maker.h"

namespace qn::tests {

/// What is worked, and on which display it is seen.
struct DisplayRun {
  std::vector<simulate::DeviceTruth> devices;
  simulate::DisturbanceSettings settings;
  simulate::HeadingDisplay display;

  /// One log of it with the aircraft on that heading.
  HeadingLog on(double heading_deg, std::uint64_t seed) const {
    simulate::DisturbanceSettings here = settings;
    here.heading_deg = heading_deg;
    const simulate::SimulatedRun run = simulate::make_disturbance_run(devices, here, seed);
    return {simulate::displayed_heading(run.recording, display), run.marks, heading_deg};
  }

  DisturbanceOptions options() const {
    DisturbanceOptions out;
    out.earth = {settings.horizontal_uT, settings.down_uT, 0.1, 0.1, {}, {}, "as given"};
    out.limit = {Angle::degrees(1.0), "your own limit"};
    for (const simulate::DeviceTruth& device : devices) out.equipment.push_back(device.device);
    return out;
  }

  Result<DisturbanceRun> analyse(const std::vector<HeadingLog>& logs,
                                 HeadingSource source = HeadingSource::magnetic) const {
    return analyse_heading_logs(logs, options(), source, serial_for);
  }
};

/// Plain devices with these fields, worked three times each by a careful operator.
inline DisplayRun display_run(const std::vector<std::pair<std::string, Vector3>>& fields,
                              simulate::HeadingDisplay display = {}) {
  DisplayRun out;
  for (const auto& [name, field] : fields) {
    Device device;
    device.name = name;
    out.devices.push_back(simulate::device_with_fields(device, {field}));
  }
  out.settings.rate_Hz = 5.0;
  out.settings.marks.jitter_sigma_s = 0.5;
  out.settings.operator_habits.dwell_s = {15.0, 25.0};
  out.settings.operator_habits.rest_s = {10.0, 15.0};
  out.settings.operator_habits.combination_dwell_s = 0.0;
  out.display = display;
  return out;
}

inline const DeviceEffect& device_of(const DisturbanceRun& run, const std::string& name) {
  for (const DeviceEffect& device : run.devices) {
    if (device.name == name) return device;
  }
  return run.devices.front();
}

}  // namespace qn::tests
