// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/plan_disturbance.h"

namespace qn {

/// The plan for a person at a terminal: the sentence first, 80 columns wide.
std::string disturbance_plan_text(const PlanDocument& document);

}  // namespace qn
