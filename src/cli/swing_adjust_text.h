// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/adjust_swing.h"

namespace qn {

/// What to turn, for people, at most 80 columns.
std::string swing_adjust_text(const AdjustDocument& document);

}  // namespace qn
