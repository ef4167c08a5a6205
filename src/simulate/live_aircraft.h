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
  /// It is turned at 10 degrees a second, from `at_s` on, and stands then. For headings that are
  /// kept; a switch thrown meanwhile is thrown all the same.
  void turn_to(double at_s, double heading_deg);
  /// Magnetised iron that turns with the aircraft.
  void carry_iron(const Vector3& field_uT) { iron_uT_ = field_uT; }
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
  double heading_at(double time_s) const;

  std::vector<DeviceTruth> devices_;
  std::vector<Standing> standing_;
  double horizontal_uT_ = 0.0, down_uT_ = 0.0;
  double heading_from_deg_ = 0.0, heading_to_deg_ = 0.0, turned_at_s_ = 0.0;
  Vector3 iron_uT_{};
  Vector3 parked_uT_{};
  Noise noise_;
  Vector3 warm_up_uT_{};
  double warm_up_time_s_ = 600.0;
};

}  // namespace qn::simulate
