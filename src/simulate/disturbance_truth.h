// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "simulate/disturbance_settings.h"
#include "vocab/equipment.h"
#include "vocab/field_vector.h"

namespace qn::simulate {

/// What a device does in one state, against its reference state. Body axes, microtesla.
struct StateTruth {
  std::string state;
  Vector3 field_uT{};  ///< settled: after warming, after inrush; of a pulsing device the mean
  Vector3 peak_uT{};   ///< of a pulsing device during a pulse, else the same as field_uT
  Vector3 slow_uT{};   ///< the part of field_uT that comes slowly, a2 in a2 (1 - exp(-t/T))
  Vector3 path_uT{};   ///< moving: added halfway between the states, gone at both ends
  double worst_heading_error_deg = 0.0;  ///< of field_uT, by trying headings; 180: heading lost
  double worst_at_heading_deg = 0.0;
  double tilt_roll_deg = 0.0;  ///< how the airframe moves with it
  double tilt_pitch_deg = 0.0;
};

struct DeviceTruth {
  Device device;
  std::vector<StateTruth> states;  ///< as many as device.states; the first is zero
  bool absent = false;             ///< the aircraft has none: its steps do nothing
  double slow_time_s = 0.0;        ///< T; 0: nothing comes slowly
  double inrush = 0.0;             ///< motor: times its field, added at first
  double inrush_time_s = 0.0;
  double period_s = 0.0;  ///< pulsing; 0: not
  double duty = 1.0;
  double vibration_uT = 0.0;  ///< per axis, 1 sigma, while away from the reference
};

/// What really happened at a mark.
struct MarkTruth {
  bool away = true;              ///< from the reference state; false: back to it
  double switch_s = 0.0;         ///< the (first) switch began
  double settled_s = 0.0;        ///< transit over, last switch of a combination done
  double lateness_s = 0.0;       ///< mark minus switch_s
  bool skipped = false;          ///< nothing was worked
  std::string worked_instead{};  ///< another device was; empty: none
};

struct EventTruth {
  std::string kind;  ///< step, pulse, train, spike
  double from_s = 0.0, to_s = 0.0;
  Vector3 size_uT{};      ///< at its largest
  double period_s = 0.0;  ///< of a train
  double duty = 0.0;
};

/// Devices on together: "everything", or a flight phase.
struct CombinationTruth {
  std::string phase;
  std::vector<std::string> devices;
  Vector3 field_uT{};  ///< vector sum, and what is added when everything is on
  double worst_heading_error_deg = 0.0;
};

/// All that an analysis has to find out or to live with.
struct DisturbanceTruth {
  std::uint64_t seed = 0;
  DisturbanceSettings settings;
  Vector3 earth_body_uT{};  ///< at rest
  Vector3 warm_up_uT{};     ///< A in A (1 - exp(-t/T))
  double warm_up_time_s = 0.0;
  std::vector<DeviceTruth> devices;  ///< in the order of the equipment list
  std::vector<MarkTruth> marks;      ///< as many as the marks, in their order
  std::vector<EventTruth> events;    ///< in time order
  std::vector<Span> gaps_s;          ///< stretches without samples
  std::vector<CombinationTruth> combinations;
};

}  // namespace qn::simulate
