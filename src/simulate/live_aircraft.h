// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "simulate/disturbance_truth.h"
#include "simulate/noise.h"
#include "vocab/equipment.h"
#include "vocab/field_vector.h"

namespace qn::simulate {

/// A standing aircraft whose switches somebody throws while the sensor speaks: what the field will
/// be is not known beforehand, as it is with a real one. Settled fields, transits and pulses; no
/// warming and no inrush.
class LiveAircraft {
 public:
  /// The devices as draw_devices() draws them; those of `absent` are not there.
  LiveAircraft(const std::vector<Device>& equipment, const DisturbanceSettings& settings,
               std::uint64_t seed, const std::vector<std::string>& absent = {});

  /// Throws the switch at `at_s`, not before any earlier one. "*" and "phase:NAME" work their
  /// devices ("off" puts each to its reference). Unknown and absent ones do nothing.
  void put(double at_s, const std::string& device, const std::string& state);
  bool has(const std::string& device) const;
  /// Times must increase.
  Vector3 field_at(double time_s);
  /// Adds this from then on: something heavy was parked.
  void disturb(const Vector3& field_uT);
  const std::vector<DeviceTruth>& devices() const { return devices_; }

 private:
  struct Standing {
    std::size_t from = 0, to = 0;
    double since_s = -1e9;
  };
  void put_one(double at_s, std::size_t device, const std::string& state);
  Vector3 field_of(std::size_t device, double time_s) const;

  std::vector<DeviceTruth> devices_;
  std::vector<Standing> standing_;
  Vector3 earth_uT_{};
  Noise noise_;
  Vector3 warm_up_uT_{};
  double warm_up_time_s_ = 600.0;
};

}  // namespace qn::simulate
