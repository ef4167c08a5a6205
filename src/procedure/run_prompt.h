// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "procedure/run_event.h"
#include "procedure/run_state.h"

namespace qn::run {

/// An answer that can be given: what stands on it, and the event that it is.
struct Answer {
  std::string label;
  EventKind kind = EventKind::tap;
  double ago_s = 0.0;    ///< of a tap: how long before now it was
  std::string device{};  ///< of a tap: what it is meant for
  std::string state{};
};

/// What will be asked for after the present wait, or after what is asked for now.
struct Ahead {
  std::string sentence;
  Answer answer;
};

/// A number is asked for, now or as soon as the wait is over; it may be given before.
struct AskedNumber {
  std::string say;
  std::string device, state;  ///< go into the answer
  bool by_link = false;       ///< the program reads it when the link speaks
  bool again = false;         ///< it was read, and doubted
};

/// What to show and say. One sentence; nothing else needs to be read.
struct Prompt {
  std::string sentence;
  std::string caution;            ///< to be read before; empty: none
  bool must_acknowledge = false;  ///< nothing goes on before it was
  std::optional<Answer> main;     ///< none: nothing to do but wait
  std::optional<Answer> second;   ///< the second most likely
  /// The mark that is asked for cannot be used: the run goes on without it.
  std::optional<Answer> leave_out;
  std::optional<AskedNumber> number;
  std::vector<std::string> members;  ///< of a set that is switched at once
  std::string held;                  ///< why the last wait was over; empty: it is not, or was none
  std::string noticed;               ///< the latest thing worth knowing; empty: nothing new
  std::string next;                  ///< what comes after this step, for a helper; empty: nothing
  std::string device, state;         ///< what is in hand; empty: nothing
  std::optional<Ahead> then;         ///< within the step: for taps that are made before it is asked
  std::optional<double> wait_s;      ///< how long the present wait will be, as an estimate
  std::size_t step = 0, steps = 0;   ///< counted from 1, repeats included
  double least_left_s = 0.0, most_left_s = 0.0;  ///< until the end, as an estimate
  bool over = false;
};

Prompt prompt_of(const State& state, double now_s);

}  // namespace qn::run
