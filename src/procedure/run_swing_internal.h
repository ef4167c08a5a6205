// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "procedure/run_event.h"
#include "procedure/run_state.h"
#include "procedure/swing_solve.h"

namespace qn::run {

/// What the readings so far lead to; Plan::weigh of a swing.
std::vector<Event> weigh_swing(const State& state, const SwingOptions& options);

/// The reading just taken, when it does not fit those before.
std::optional<Event> doubt_of(const State& state, const SwingSolution& solution,
                              const std::vector<SwingReading>& readings,
                              const SwingOptions& options);

SwingTurn swing_turn_of(const std::string& state);

}  // namespace qn::run
