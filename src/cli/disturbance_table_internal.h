// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/analyse_disturbance.h"

namespace qn::disturbance_text_parts {

/// Folded, each line after `spaces` spaces, with a line end.
std::string indented(const std::string& text, std::size_t spaces);

/// "3.6 to 4.1", "0.2 or more" (no upper end), "heading lost", "not known".
std::string band(const Band95& b);

/// "03:42", minutes and seconds of the recording.
std::string elapsed(double time_s);

std::string degrees(Angle angle);

/// Degrees, one row for each state of each device, worst first.
std::string device_table(const DisturbanceRun& run);

/// Phases and everything at once: the vector sum, the worst choice of optional devices, the cure
/// that helps most.
std::string combination_table(const DisturbanceRun& run);

}  // namespace qn::disturbance_text_parts
