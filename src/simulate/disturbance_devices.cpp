// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_devices.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "field/wire_current.h"
#include "simulate/disturbance_heading.h"
#include "simulate/random.h"
#include "vocab/expects.h"

namespace qn::simulate {
namespace {

constexpr std::uint64_t kFirstDeviceStream = 1000;

double between_logs(const Span& span, Random& random) {
  if (span.lo <= 0.0 || span.hi <= span.lo) return span.hi;
  return std::exp(random.uniform(std::log(span.lo), std::log(span.hi)));
}

Vector3 scaled(const Vector3& v, double k) { return {k * v[0], k * v[1], k * v[2]}; }

Vector3 of_horizontal_size(double horizontal_uT, Random& random) {
  const double azimuth = random.uniform(0.0, 2.0 * std::numbers::pi);
  const double down = random.uniform(-1.5, 1.5);
  return {horizontal_uT * std::cos(azimuth), horizontal_uT * std::sin(azimuth),
          horizontal_uT * down};
}

/// Out along the airframe at some distance from the sensor, and back beside itself.
Vector3 of_a_wire(double current_A, Random& random) {
  const double away_m = random.uniform(0.4, 1.5);
  const double apart_m = random.uniform(0.02, 0.3);
  const double around = random.uniform(0.0, 2.0 * std::numbers::pi);
  const double y = away_m * std::cos(around);
  const double z = away_m * std::sin(around);
  const double from_x = random.uniform(-4.0, -0.5);
  const double to_x = random.uniform(0.2, 2.0);
  const std::array<Vector3, 5> loop{{{from_x, y, z},
                                     {to_x, y, z},
                                     {to_x, y + apart_m, z},
                                     {from_x, y + apart_m, z},
                                     {from_x, y, z}}};
  return polyline_field_uT(loop, current_A, {0.0, 0.0, 0.0});
}

struct Draw {
  const DisturbanceSettings& settings;
  Random& random;

  Vector3 field(const Device& device) const {
    const EffectSpread& effects = settings.effects;
    const bool wired = random.uniform() < effects.wired_share && device.current_A.has_value();
    const bool lost = random.uniform() < effects.lost_share;
    Span worst = effects.worst_deg;
    // A pulse is the mean over the duty: a mean of 2 degrees at 5 % is 14 uT already.
    if (device.kind == DeviceKind::pulsing) worst.hi = std::min(worst.hi, 2.0);
    const double worst_deg = between_logs(worst, random);
    const double share = std::sin(worst_deg * std::numbers::pi / 180.0);
    const double beyond = random.uniform(1.0, 2.0);
    const Vector3 drawn = of_horizontal_size(
        settings.horizontal_uT * (lost && device.kind != DeviceKind::pulsing ? beyond : share),
        random);
    const Vector3 from_wire = of_a_wire(device.current_A.value_or(0.0), random);
    return wired ? from_wire : drawn;
  }

  /// States beyond the second lie opposite to it, roughly: left and right of a trim.
  Vector3 other_field(const Vector3& first) const {
    const double k = -random.uniform(0.6, 1.1);
    const double size = std::hypot(first[0], first[1], first[2]);
    const Vector3 off = random.direction();
    Vector3 out = scaled(first, k);
    for (std::size_t i = 0; i < 3; ++i) out[i] += 0.2 * size * off[i];
    return out;
  }

  void shape(DeviceTruth& out) const {
    // Drawn for every kind, so that a changed kind leaves the other numbers as they were.
    const bool heats = random.uniform() < settings.effects.heating_share;
    const double slow_share = random.uniform(0.15, 0.4);
    const double slow_time_s = random.uniform(2.0, 5.0);
    const double period_s = between_logs({0.4, 3.0}, random);
    const double duty = random.uniform(0.05, 0.5);
    const double inrush = random.uniform(1.0, 4.0);
    const double inrush_time_s = random.uniform(0.1, 0.4);
    const Vector3 path = random.direction();
    switch (out.device.kind) {
      case DeviceKind::steady:
        if (!heats) break;
        out.slow_time_s = slow_time_s;
        for (auto& state : out.states) state.slow_uT = scaled(state.field_uT, slow_share);
        break;
      case DeviceKind::pulsing:
        out.period_s = period_s;
        out.duty = duty;
        for (auto& state : out.states) state.peak_uT = scaled(state.field_uT, 1.0 / duty);
        break;
      case DeviceKind::motor:
        out.inrush = inrush;
        out.inrush_time_s = inrush_time_s;
        break;
      case DeviceKind::moving:
        for (auto& state : out.states) {
          const double size = std::hypot(state.field_uT[0], state.field_uT[1], state.field_uT[2]);
          if (&state != &out.states.front()) state.path_uT = scaled(path, 0.5 * size + 0.5);
        }
        break;
      case DeviceKind::engine: out.vibration_uT = settings.vibration_uT; break;
    }
  }

  void tilt(DeviceTruth& out) const {
    for (std::size_t s = 1; s < out.states.size(); ++s) {
      const double size_deg = random.uniform(settings.tilt.size_deg.lo, settings.tilt.size_deg.hi);
      const double axis = random.uniform(0.0, 2.0 * std::numbers::pi);
      if (out.device.kind != DeviceKind::moving && out.device.kind != DeviceKind::engine) continue;
      out.states[s].tilt_roll_deg = size_deg * std::cos(axis);
      out.states[s].tilt_pitch_deg = size_deg * std::sin(axis);
    }
  }
};

}  // namespace

DeviceTruth device_with_fields(const Device& device, const std::vector<Vector3>& fields_uT) {
  QN_EXPECTS(device.states.size() >= 2 && fields_uT.size() + 1 == device.states.size());
  DeviceTruth out;
  out.device = device;
  for (std::size_t s = 0; s < device.states.size(); ++s) {
    StateTruth state;
    state.state = device.states[s];
    if (s > 0) state.field_uT = state.peak_uT = fields_uT[s - 1];
    out.states.push_back(state);
  }
  return out;
}

void judge_states(DeviceTruth& device, double horizontal_uT) {
  for (StateTruth& state : device.states) {
    const WorstError worst = worst_heading_error_of(state.field_uT, horizontal_uT);
    state.worst_heading_error_deg = worst.size_deg;
    state.worst_at_heading_deg = worst.at_heading_deg;
  }
}

std::vector<DeviceTruth> draw_devices(const std::vector<Device>& equipment,
                                      const DisturbanceSettings& settings, std::uint64_t seed) {
  std::vector<DeviceTruth> out;
  for (std::size_t d = 0; d < equipment.size(); ++d) {
    const Device& device = equipment[d];
    Random random{seed, kFirstDeviceStream + d};
    const bool absent = random.uniform() < settings.operator_habits.absent_share && device.optional;
    const bool zero = random.uniform() < settings.effects.zero_share || absent;
    const Draw draw{settings, random};
    std::vector<Vector3> fields(device.states.size() - 1);
    for (std::size_t s = 0; s < fields.size(); ++s) {
      fields[s] = s == 0 ? draw.field(device) : draw.other_field(fields[0]);
    }
    if (zero) fields.assign(fields.size(), Vector3{});
    DeviceTruth made = device_with_fields(device, fields);
    made.absent = absent;
    draw.shape(made);
    if (!absent) draw.tilt(made);
    if (zero) {
      for (auto& state : made.states) state.path_uT = {};
    }
    if (absent) made.vibration_uT = 0.0;
    judge_states(made, settings.horizontal_uT);
    out.push_back(made);
  }
  return out;
}

}  // namespace qn::simulate
