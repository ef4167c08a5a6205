// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>

#include "app/solve_swing.h"

namespace qn {

/// Empty without a state of the loads but off.
std::string swing_loads_text(const SwingDocument& document);
/// What an adjustment did; empty without an earlier swing.
std::string swing_before_text(const SwingDocument& document);

/// Iron and forecast of one compass; empty when the Earth's field is not known.
std::string swing_iron_text(const SwingDocument& document, std::size_t compass);

}  // namespace qn
