// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/solve_swing.h"

namespace qn {

/// The swing for people, at most 80 columns.
std::string swing_text(const SwingDocument& document);

/// The cards for people, at most 80 columns.
std::string card_text(const CardDocument& document);

}  // namespace qn
