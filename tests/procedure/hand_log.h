// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "procedure/disturbance_run.h"
#include "simulate/random.h"

namespace qn::tests {

/// A log at rest made by hand, for cases that the simulator does not draw: what happens is written
/// out in the test.
class HandLog {
 public:
  explicit HandLog(double lasts_s, double rate_Hz = 20.0, double noise_uT = 0.05,
                   std::uint64_t seed = 1) {
    simulate::Random random{seed};
    const auto samples = static_cast<std::size_t>(lasts_s * rate_Hz) + 1;
    for (std::size_t k = 0; k < samples; ++k) {
      log.time_s.push_back(static_cast<double>(k) / rate_Hz);
      for (std::size_t axis = 0; axis < 3; ++axis) {
        log.field[axis].push_back(kRest_uT[axis] + noise_uT * random.normal());
      }
    }
    log.tally.rows = samples;
    log.tally.median_interval_s = 1.0 / rate_Hz;
  }

  HandLog& add(const std::function<Vector3(double)>& field_uT) {
    for (std::size_t k = 0; k < log.size(); ++k) {
      const Vector3 b = field_uT(log.time_s[k]);
      for (std::size_t axis = 0; axis < 3; ++axis) log.field[axis][k] += b[axis];
    }
    return *this;
  }

  /// On from `on_s` to `off_s`, without marks.
  HandLog& hold(const Vector3& b, double on_s, double off_s) {
    return add([&](double t) { return t >= on_s && t < off_s ? b : Vector3{}; });
  }

  HandLog& mark(const std::string& device, double on_s, double off_s,
                const std::string& state = "1") {
    marks.push_back({on_s, device, state, marks.size() + 2});
    marks.push_back({off_s, device, "0", marks.size() + 2});
    return *this;
  }

  /// Held and marked, so many times, `every_s` apart.
  HandLog& work(const std::string& device, const Vector3& b, double on_s, double off_s,
                std::size_t times = 1, double every_s = 0.0) {
    for (std::size_t i = 0; i < times; ++i) {
      const double later_s = static_cast<double>(i) * every_s;
      hold(b, on_s + later_s, off_s + later_s);
      mark(device, on_s + later_s, off_s + later_s);
    }
    return *this;
  }

  void keep(const std::function<bool(double)>& good) {
    SensorRecording kept;
    for (std::size_t k = 0; k < log.size(); ++k) {
      if (!good(log.time_s[k])) continue;
      kept.time_s.push_back(log.time_s[k]);
      for (std::size_t axis = 0; axis < 3; ++axis) kept.field[axis].push_back(log.field[axis][k]);
    }
    kept.tally = log.tally;
    log = std::move(kept);
  }

  Result<DisturbanceRun> analyse(const std::vector<Device>& equipment = {}) const {
    return analyse_disturbance(log, marks, options_for(equipment), serial_for);
  }

  static DisturbanceOptions options_for(const std::vector<Device>& equipment) {
    DisturbanceOptions options;
    options.earth = {20.0, 45.0, 0.1, 0.1, {}, {}, "as given"};
    options.equipment = equipment;
    options.limit = {Angle::degrees(1.0), "your own limit"};
    return options;
  }

  static constexpr Vector3 kRest_uT{15.0, -13.0, 45.0};
  SensorRecording log;
  std::vector<Mark> marks;
};

inline Device device_named(const std::string& name, DeviceKind kind = DeviceKind::steady) {
  Device out;
  out.name = name;
  out.kind = kind;
  return out;
}

inline const DeviceEffect* find_device(const DisturbanceRun& run, const std::string& name) {
  for (const DeviceEffect& device : run.devices) {
    if (device.name == name) return &device;
  }
  return nullptr;
}

/// Every remark of the run and of its devices in one text.
inline std::string all_remarks(const DisturbanceRun& run) {
  std::string out;
  for (const std::string& text : run.remarks) out += text + "\n";
  for (const DeviceEffect& device : run.devices) {
    for (const std::string& text : device.remarks) out += device.name + ": " + text + "\n";
  }
  return out;
}

/// Estimate minus truth in the sigmas reported, largest of the three axes.
inline double sigmas_off(const StateEffect& state, const Vector3& truth) {
  double most = 0.0;
  for (std::size_t a = 0; a < 3; ++a) {
    most = std::max(most, std::abs(state.field.field_uT[a] - truth[a]) /
                              std::sqrt(state.field.covariance_uT2[a][a]));
  }
  return most;
}

}  // namespace qn::tests
