// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/run_state.h"

namespace qn::run {

// What becomes of the answers to questions for a number. Each does what the event means.

/// The same instrument on the same visit, with the same loads on.
bool same_question(const Read& a, const Read& b);

/// A number for what is asked, for what comes next on this step, or in the place of one that was
/// read before.
void was_read(State& state, const Event& event);
/// The question is left without a number.
void leave_read(State& state);
void doubted(State& state, const Event& event);
void wanted(State& state, const Event& event);
void weighed(State& state);

}  // namespace qn::run
