// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>

#include "procedure/air_fit_internal.h"

namespace qn {

/// Three digits, 000 to 359.
std::string air_heading(double deg);
/// "leg 3" of the leg at 2.
std::string air_leg_name(std::size_t leg);
/// "tracks are true, headings magnetic", whichever they are.
std::string norths_text(const AirOptions& options);

/// When A looks like the variation: which other north would take it away. Nothing is switched.
void suggest_other_north(AirSolution& out, const AirOptions& options);
/// The sentences about wrong readings, and what they do to the verdict.
void say_air_doubts(AirSolution& out, const AirFit& fit);
/// What this flight cannot prove.
void say_air_limits(AirSolution& out, const AirFit& fit, const AirOptions& options);

}  // namespace qn
