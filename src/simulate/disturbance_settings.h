// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "simulate/noise.h"

namespace qn::simulate {

struct Span {
  double lo = 0.0;
  double hi = 0.0;
};

/// How large the devices' fields are drawn. Sizes are stated as the worst heading error over all
/// headings; the field follows from H.
struct EffectSpread {
  Span worst_deg{0.03, 12.0};    ///< evenly in its logarithm
  double zero_share = 0.2;       ///< devices that do nothing at all
  double lost_share = 0.0;       ///< devices with a horizontal field of 1 to 2 H
  double wired_share = 0.25;     ///< of those with a current: the field of a drawn wire loop
  double heating_share = 0.0;    ///< of the steady ones: part of the field comes slowly
  double all_on_extra_uT = 0.0;  ///< added while everything is on: common returns, saturated steel
};

/// How the operator works through the list.
struct OperatorHabits {
  std::size_t passes = 3;           ///< every state of every device so often
  Span lead_s{40.0, 50.0};          ///< quiet time before the first step and after the last
  Span dwell_s{8.0, 25.0};          ///< cut to max_on_s; never less than transit_s + 3
  Span rest_s{4.0, 10.0};           ///< lengthened to min_rest_s of the device just worked
  double combination_dwell_s = 20;  ///< everything at once, each phase's set; 0: not done
  double combination_spread_s = 0;  ///< its switches are thrown one after another within this
  double skipped_share = 0.0;       ///< of the steps: marked but not done
  double substituted_share = 0.0;   ///< of the steps: another device worked in its place
  double absent_share = 0.0;        ///< of the optional devices: the aircraft has none
};

/// Mark minus switch: delay + jitter, sometimes a large one; never beyond +-8 s, never out of
/// order.
struct MarkErrors {
  double common_delay_s = 0.0;
  double jitter_sigma_s = 0.0;
  double tail_share = 0.0;    ///< of the marks
  double tail_sigma_s = 4.0;  ///< of those
};

struct Drift {
  Span warm_up_uT{0.0, 0.0};       ///< length of the vector A in A (1 - exp(-t/T)); 0: none
  Span warm_up_time_s{300, 1200};  ///< T
  double wander_uT = 0.0;  ///< 1 sigma per axis after 20 min of an integrated random walk; 0: none
};

/// What happens by itself, tied to no mark.
struct Unplanned {
  std::size_t trains = 0;    ///< a pump on its own cycle, 60 s to 180 s of it
  std::size_t steps = 0;     ///< something heavy is parked, and stays
  std::size_t pulses = 0;    ///< something drives past: 5 to 15 s
  Span size_uT{0.2, 2.0};    ///< evenly in the logarithm
  double spike_share = 0.0;  ///< of the samples
  double spike_uT = 5.0;
};

/// The airframe moves in step with a device of kind moving or engine.
struct Tilt {
  Span size_deg{0.0, 0.0};  ///< of the rotation about an axis along the ground; 0: none
};

/// A display that shows degrees only.
struct HeadingDisplay {
  enum class Follows {
    at_once,
    slowly,  ///< 1 - exp(-t/T) of a step: a gyro holds the heading against the magnetic sensor
    fading,  ///< exp(-t/T) of a step: the display trusts its gyro in the end
  };
  double step_deg = 0.1;  ///< what it rounds to; 0: not at all
  Follows follows = Follows::at_once;
  double time_constant_s = 0.0;  ///< T
};

/// Everything that can be chosen about a simulated disturbance run. All faults are switchable.
struct DisturbanceSettings {
  double horizontal_uT = 20.0;
  double down_uT = 45.0;
  double heading_deg = 75.0;  ///< magnetic, as the aircraft stands
  double pitch_deg = 0.0;
  double roll_deg = 0.0;
  double rate_Hz = 20.0;
  NoiseTruth noise{0.05, 0.0, 0.0};
  double quantum_uT = 0.0;    ///< 0: none
  double rail_uT = 0.0;       ///< largest size of a recorded number; 0: none
  double vibration_uT = 0.0;  ///< per axis, 1 sigma, white, while an engine runs
  std::size_t gaps = 0;
  Span gap_s{0.5, 3.0};
  bool log_attitude = false;
  double attitude_sigma_deg = 0.02;
  bool log_current = false;
  bool log_temperature = false;
  EffectSpread effects;
  OperatorHabits operator_habits;
  MarkErrors marks;
  Drift drift;
  Unplanned unplanned;
  Tilt tilt;
};

/// The three cases of the accuracy tables, and one for show.
///
/// clean     a good sensor and a careful operator: little noise, a little drift, no fault
/// ordinary  what a hangar gives: drift, late marks, now and then a fault of each kind
/// hard      a coarse, noisy, warming sensor and a hurried operator; all faults, often
/// demo      an ordinary sensor; late marks, skipped and substituted steps, a pump, a car and
///           drift all in one run
std::vector<std::string> disturbance_presets();
std::optional<DisturbanceSettings> disturbance_preset(std::string_view name);

/// The faults that can be switched by name.
std::vector<std::string> disturbance_faults();
/// Takes the fault out. False: there is no fault of that name.
bool without_fault(DisturbanceSettings& settings, std::string_view fault);
/// Puts the fault in, as large as in the preset "hard". False: there is no fault of that name.
bool with_fault(DisturbanceSettings& settings, std::string_view fault);

}  // namespace qn::simulate
