// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/run_event.h"
#include "procedure/run_state.h"
#include "procedure/swing_solve.h"

namespace qn::run {

/// What the readings so far lead to; Plan::weigh of a swing.
std::vector<Event> weigh_swing(const State& state, const SwingOptions& options);

SwingTurn swing_turn_of(const std::string& state);

}  // namespace qn::run
