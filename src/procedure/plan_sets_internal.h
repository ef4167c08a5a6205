// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/disturbance_plan.h"

namespace qn {

/// The devices that `device` needs, in the order they are switched on.
std::vector<const Device*> needed_by(const Device& device, const std::vector<Device>& equipment);

/// Ampere hours of a device away from its reference for `on_s`, `transit_s` of its own each way
/// included; 0 when its current is not known.
double amp_hours_of(const Device& device, double on_s);

/// The steps at the end: everything at once, then the normal set of each flight phase, in the order
/// of a flight. Numbers, pass and group are the caller's.
std::vector<PlanStep> plan_sets(const std::vector<Device>& equipment, const PlanNoise& noise,
                                double rest_s);

}  // namespace qn
