// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/plan_swing.h"

namespace qn {

/// The plan of a swing for people, at most 80 columns.
std::string swing_plan_text(const SwingPlanDocument& document);

}  // namespace qn
