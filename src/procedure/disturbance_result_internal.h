// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/disturbance_run.h"
#include "procedure/disturbance_solution_internal.h"
#include "procedure/disturbance_sum.h"

namespace qn::disturbance {

/// Own assumption: how far gear or engine may tilt an airframe that is not known to be rigid.
inline constexpr double kTilt_deg = 0.2;

/// All states as one joint estimate: axes and states together, the airframe's possible tilt in it.
JointFields joint_fields(const Solved& solved, const DisturbanceOptions& options);

/// The airframe's rest field, body axes.
Vector3 rest_field_uT(const Solved& solved);

/// Devices with their states, worst first.
std::vector<DeviceEffect> device_effects(const Solved& solved, const JointFields& joint,
                                         const std::vector<Mark>& marks,
                                         const SensorRecording& recording,
                                         const DisturbanceOptions& options);

/// Phases of the equipment list, and everything at once when it was worked.
void add_combinations(const Solved& solved, const JointFields& joint,
                      const DisturbanceOptions& options, DisturbanceRun& run);

/// Events and spikes that no mark explains.
std::vector<Unexplained> unexplained_of(const Solved& solved, const JointFields& joint,
                                        const DisturbanceOptions& options);

/// Size, colour and quantum of the noise, and the drift.
RunNoise noise_of(const Solved& solved, const SensorRecording& recording);

/// A few thousand points of data and fit.
RunTrace trace_of(const Solved& solved);

/// The answer in one sentence, the verdict, what to do next, remarks and assumptions.
void put_into_words(const Solved& solved, const DisturbanceOptions& options, DisturbanceRun& run);

/// What a visit that was set aside most likely was: "likely skipped".
std::string words_for(const VisitReading& reading);

}  // namespace qn::disturbance
