// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/solve_air.h"

namespace qn {

/// For people, 80 columns.
std::string air_text(const AirDocument& document);
std::string air_plan_text(const AirPlanDocument& document);

}  // namespace qn
