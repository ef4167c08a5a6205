// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "earth/local_field.h"
#include "vocab/angle.h"
#include "vocab/equipment.h"
#include "vocab/result.h"
#include "vocab/verdict.h"

namespace qn {

struct PlanOptions {
  Limit limit;
  double noise_uT = 0.1;  ///< 1 sigma of one sample, each axis, > 0
  double rate_Hz = 10.0;  ///< samples a second, > 0
  LocalField earth;       ///< only its horizontal part counts
};

/// One line of the plan. In this order: the devices of `also_on` are switched on and held for
/// `lead_s`; the device goes to `state` (`transit_s`), is held for `dwell_s` and goes back
/// (`transit_s`); everything rests for `rest_s`; the devices of `also_on` go off, unless the next
/// step keeps them, and all rests for `trail_s`.
struct PlanStep {
  std::size_t number = 0;  ///< from 1
  std::size_t pass = 0;    ///< from 1; the sets at the end are the last pass
  std::size_t group = 0;   ///< steps that share a caution; 0: none
  std::string caution;     ///< said before this step; empty when it was said just before
  std::string device;      ///< or kEverything, or "phase:NAME"
  std::string state;
  DeviceKind kind = DeviceKind::steady;
  bool optional = false;
  std::vector<std::string> also_on;  ///< devices it needs, in the order they are switched on
  std::vector<std::string> members;  ///< of a set: "Radio", "Flaps (down)", "Lamp (if fitted)"
  double lead_s = 0.0, transit_s = 0.0, dwell_s = 0.0, rest_s = 0.0, trail_s = 0.0;
  std::string why;                  ///< what its times follow from, one sentence
  std::optional<Angle> half_width;  ///< 95 %, of the heading error, all visits together; sets: none
  double amp_hours = 0.0;           ///< of all devices on in this step, as far as known

  double total_s() const { return lead_s + 2.0 * transit_s + dwell_s + rest_s + trail_s; }
};

/// What the plan is expected to reach for one state of a device.
struct PlannedState {
  std::string device;
  std::string state;
  std::size_t visits = 0;
  Angle half_width;
  bool enough = false;  ///< under a tenth of the limit
};

/// The noise the times were computed for; see docs/math/disturbance-plan.md.
struct PlanNoise {
  double white_uT = 0.0, rate_Hz = 0.0;
  double correlated_uT = 0.0, correlation_s = 0.0;  ///< own assumption
  double walk_uT_per_sqrt_min = 0.0;                ///< own assumption
  double R_uT2_s = 0.0;                             ///< variance of a mean over T is R / T
  double q_uT2_per_s = 0.0;
  double time_scale_s = 0.0;  ///< sqrt(R / q): holding much longer teaches nothing

  /// Variance of what one visit says of a device: `dwell_s` counted seconds on, `rest_s` counted
  /// seconds of rest on each side. Holds exactly for a walking level when whatever lies beyond the
  /// two rests is unknown.
  double visit_variance_uT2(double dwell_s, double rest_s) const;
};

struct DisturbancePlan {
  Limit limit;
  LocalField earth;
  PlanNoise noise;
  double first_rest_s = 0.0;  ///< before step 1, everything at its reference
  std::size_t passes = 0;     ///< of single devices; the sets follow as one more
  std::vector<PlanStep> steps;
  std::vector<PlannedState> states;  ///< in the order of the equipment list
  double total_s = 0.0;
  double amp_hours = 0.0;
  std::vector<std::string> current_unknown;  ///< devices without a current: more than amp_hours
  std::string battery_advice;
  std::vector<std::string> assumptions;  ///< own assumptions with their size
  std::vector<std::string> remarks;      ///< what the plan cannot reach, and what to mind
  std::string safety;                    ///< always shown before the first step
  std::string sentence;                  ///< the plan in one sentence
};

/// Orders and times a disturbance run: each state of each device long and often enough that the
/// 95 % half-width of its heading error is under a tenth of the limit, never less than twice and
/// not in a row, within what the device can stand; at the end everything at once and each flight
/// phase's normal set.
///
/// equipment  as read by app/codec_equipment.h: names unique, `with` names a device, no circles
/// errors     BadInput: no devices. OutOfRange: limit, noise, rate or the horizontal field not
///            above 0
/// source     docs/math/disturbance-plan.md
Result<DisturbancePlan> plan_disturbance(const std::vector<Device>& equipment,
                                         const PlanOptions& options);

}  // namespace qn
