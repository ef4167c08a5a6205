// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/disturbance_plan.h"

namespace qn {

/// What is said before a device of this kind is worked, whatever the list says; often empty.
std::string usual_caution(DeviceKind kind);
/// Sentences joined, each once, in the order met.
std::string joined_cautions(const std::vector<std::string>& cautions);

std::string plan_safety(const std::vector<Device>& equipment);
std::string battery_advice(double amp_hours, const std::vector<std::string>& current_unknown);
std::vector<std::string> plan_assumptions(const PlanNoise& noise);
std::vector<std::string> plan_remarks(const DisturbancePlan& plan);
std::string plan_sentence(const DisturbancePlan& plan);

/// "45 s", "12 min", "1 h 12 min".
std::string plan_duration(double seconds);

}  // namespace qn
