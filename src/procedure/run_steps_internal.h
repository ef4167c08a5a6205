// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/run_state.h"

namespace qn::run {

/// Leaves what was done behind and asks for what comes next: a caution, the next act, a repeat, or
/// nothing any more.
void go_on(State& state);

/// The acts of the present step, from where the helpers are now.
std::vector<Act> acts_of(const State& state);

/// The next act; after the last one the next step.
void next_act(State& state);

/// Adds what is missing to the list; whether there was anything.
bool add_repeats(State& state);

/// "120 cw", "120 cw on": what a reading is meant for.
std::string read_name(const std::string& device, const std::string& state,
                      const std::string& loads);

bool is_absent(const State& state, const std::string& device);
void notice(State& state, std::string text);

}  // namespace qn::run
