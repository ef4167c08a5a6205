// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/solve_air.h"

namespace qn {

/// Schema quietnorth/air-check/1 (docs/formats/air-check-json.md).
std::string to_json(const AirDocument& document);

/// Schema quietnorth/air-plan/1 (docs/formats/air-check-json.md).
std::string to_json(const AirPlanDocument& document);

}  // namespace qn
