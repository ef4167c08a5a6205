// SPDX-License-Identifier: Apache-2.0
#include "simulate/live_aircraft.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "simulate/disturbance_devices.h"
#include "simulate/operator_script.h"
#include "simulate/random.h"
#include "vocab/mark.h"

namespace qn::simulate {
namespace {

constexpr std::uint64_t kNoiseStream = 9001, kDriftStream = 9002;
constexpr double kTurn_deg_per_s = 10.0;

}  // namespace

LiveAircraft::LiveAircraft(const std::vector<Device>& equipment,
                           const DisturbanceSettings& settings, std::uint64_t seed,
                           const std::vector<std::string>& absent)
    : devices_{draw_devices(equipment, settings, seed)},
      standing_(devices_.size()),
      noise_{settings.noise, Random{seed, kNoiseStream}} {
  for (DeviceTruth& device : devices_) {
    device.absent = std::find(absent.begin(), absent.end(), device.device.name) != absent.end();
  }
  horizontal_uT_ = settings.horizontal_uT;
  down_uT_ = settings.down_uT;
  heading_from_deg_ = heading_to_deg_ = settings.heading_deg;
  Random random{seed, kDriftStream};
  const double length = random.uniform(settings.drift.warm_up_uT.lo, settings.drift.warm_up_uT.hi);
  warm_up_time_s_ =
      random.uniform(settings.drift.warm_up_time_s.lo, settings.drift.warm_up_time_s.hi);
  warm_up_uT_ = random.direction();
  for (double& component : warm_up_uT_) component *= length;
}

bool LiveAircraft::has(const std::string& device) const {
  return std::any_of(devices_.begin(), devices_.end(),
                     [&](const DeviceTruth& d) { return d.device.name == device && !d.absent; });
}

void LiveAircraft::put_one(double at_s, std::size_t device, const std::string& state) {
  const DeviceTruth& truth = devices_[device];
  if (truth.absent) return;
  const auto& states = truth.device.states;
  const auto named = std::find(states.begin(), states.end(), state);
  std::size_t to = 0;
  if (named != states.end()) {
    to = static_cast<std::size_t>(named - states.begin());
  } else if (state == "on") {
    to = 1;
  }
  if (standing_[device].to != to) standing_[device] = {standing_[device].to, to, at_s};
}

void LiveAircraft::put(double at_s, const std::string& device, const std::string& state) {
  const bool phase = device.rfind(kPhasePrefix, 0) == 0;
  for (std::size_t i = 0; i < devices_.size(); ++i) {
    const Device& d = devices_[i].device;
    const bool meant = device == kEverything || d.name == device ||
                       (phase && belongs_to_phase(d, device.substr(kPhasePrefix.size())));
    if (meant) put_one(at_s, i, state);
  }
}

Vector3 LiveAircraft::field_of(std::size_t device, double time_s) const {
  const DeviceTruth& truth = devices_[device];
  const Standing& now = standing_[device];
  const double transit_s = truth.device.transit_s;
  double there = time_s >= now.since_s ? 1.0 : 0.0;
  if (transit_s > 0.0) there = std::clamp((time_s - now.since_s) / transit_s, 0.0, 1.0);
  const StateTruth& to = truth.states[now.to];
  Vector3 target = to.field_uT;
  if (truth.period_s > 0.0 && now.to != 0) {
    const double turn = time_s / truth.period_s;
    const bool pulse = turn - std::floor(turn) < truth.duty;
    target = pulse ? to.peak_uT : Vector3{};
  }
  Vector3 field = truth.states[now.from].field_uT;
  for (std::size_t i = 0; i < 3; ++i) field[i] += there * (target[i] - field[i]);
  return field;
}

void LiveAircraft::turn_to(double at_s, double heading_deg) {
  heading_from_deg_ = heading_at(at_s);
  heading_to_deg_ = heading_deg;
  turned_at_s_ = at_s;
}

double LiveAircraft::heading_at(double time_s) const {
  const double way_deg = std::remainder(heading_to_deg_ - heading_from_deg_, 360.0);
  const double done_deg = kTurn_deg_per_s * std::max(0.0, time_s - turned_at_s_);
  return heading_from_deg_ + std::copysign(std::min(std::abs(way_deg), done_deg), way_deg);
}

Vector3 LiveAircraft::field_at(double time_s) {
  Vector3 field = noise_.at(time_s);
  const double heading = heading_at(time_s) * std::numbers::pi / 180.0;
  const Vector3 earth_uT{horizontal_uT_ * std::cos(heading), -horizontal_uT_ * std::sin(heading),
                         down_uT_};
  const double warm = 1.0 - std::exp(-time_s / warm_up_time_s_);
  for (std::size_t i = 0; i < 3; ++i) {
    field[i] += earth_uT[i] + iron_uT_[i] + parked_uT_[i] + warm * warm_up_uT_[i];
  }
  for (std::size_t d = 0; d < devices_.size(); ++d) {
    const Vector3 own = field_of(d, time_s);
    for (std::size_t i = 0; i < 3; ++i) field[i] += own[i];
  }
  return field;
}

void LiveAircraft::disturb(const Vector3& field_uT) {
  for (std::size_t i = 0; i < 3; ++i) parked_uT_[i] += field_uT[i];
}

}  // namespace qn::simulate
