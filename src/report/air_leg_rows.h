// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/air_check.h"
#include "procedure/air_plan.h"
#include "procedure/steady_legs.h"
#include "report/sheet_flow.h"

namespace qn {

/// Every leg as flown, what the wind leaves of it, and why one was not used.
void air_leg_rows(SheetFlow& flow, const std::vector<AirLeg>& legs,
                  const std::vector<AirLegResult>& results);

/// Why the rest of a log was not used: each stretch, and the short ones of one reason together.
std::vector<std::string> why_left_out(const std::vector<FlightStretch>& stretches);

/// The sentences about wrong readings.
std::vector<std::string> doubt_lines(const std::vector<DoubtfulLeg>& doubts);

/// The legs to fly, large enough for a knee in flight, with boxes for what was seen.
void air_plan_rows(SheetFlow& flow, const std::vector<PlannedLeg>& legs, bool tracks_true);

}  // namespace qn
