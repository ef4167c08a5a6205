// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/air_check.h"
#include "procedure/air_plan.h"
#include "report/sheet_flow.h"

namespace qn {

/// Every leg as flown, what the wind leaves of it, and why one was not used.
void air_leg_rows(SheetFlow& flow, const std::vector<AirLeg>& legs,
                  const std::vector<AirLegResult>& results);

/// The legs to fly, large enough for a knee in flight, with boxes for what was seen.
void air_plan_rows(SheetFlow& flow, const std::vector<PlannedLeg>& legs, bool tracks_true);

}  // namespace qn
