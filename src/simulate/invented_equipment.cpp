// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cstddef>
#include <string>
#include <string_view>

#include "simulate/disturbance_devices.h"
#include "simulate/random.h"

namespace qn::simulate {
namespace {

struct Pattern {
  std::string_view name;
  DeviceKind kind;
  double current_A;  ///< 0: not given
};

// Half of a real list is lights and boxes; every kind comes within the first eight.
constexpr std::array<Pattern, 10> kPatterns{{{"landing light", DeviceKind::steady, 6.0},
                                             {"strobe", DeviceKind::pulsing, 4.0},
                                             {"pitot heat", DeviceKind::steady, 8.0},
                                             {"pitch trim", DeviceKind::motor, 1.5},
                                             {"flaps", DeviceKind::moving, 5.0},
                                             {"radio", DeviceKind::steady, 2.0},
                                             {"engine", DeviceKind::engine, 0.0},
                                             {"fuel pump", DeviceKind::pulsing, 3.0},
                                             {"position lights", DeviceKind::steady, 3.0},
                                             {"cabin fan", DeviceKind::motor, 2.0}}};

}  // namespace

std::vector<Device> invented_equipment(std::size_t count, std::uint64_t seed) {
  Random random{seed, 900};
  std::vector<Device> out;
  for (std::size_t i = 0; i < count; ++i) {
    const Pattern& pattern = kPatterns[i % kPatterns.size()];
    Device device;
    device.name = std::string{pattern.name};
    if (i >= kPatterns.size()) {
      device.name += ' ';
      device.name += std::to_string(i / kPatterns.size() + 1);
    }
    device.kind = pattern.kind;
    if (pattern.current_A > 0.0) device.current_A = pattern.current_A * random.uniform(0.7, 1.4);
    if (pattern.name == "pitch trim") device.states = {"neutral", "up", "down"};
    if (pattern.kind == DeviceKind::moving) {
      device.states = {"up", "down"};
      device.transit_s = random.uniform(3.0, 7.0);
    }
    device.optional = random.uniform() < 0.3;
    device.phases = {random.uniform() < 0.5 ? "cruise" : "night"};
    if (random.uniform() < 0.3) device.phases.emplace_back("landing");
    out.push_back(device);
  }
  return out;
}

}  // namespace qn::simulate
