// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/analyse_disturbance.h"

namespace qn {

/// The answer for a person at a terminal: the sentence first, 80 columns wide.
/// bold  the sentence stands out; for terminals only
std::string disturbance_text(const DisturbanceDocument& document, bool bold);

}  // namespace qn
