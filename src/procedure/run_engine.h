// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "procedure/run_headings.h"
#include "procedure/run_listener.h"
#include "procedure/run_prompt.h"
#include "procedure/run_state.h"

namespace qn::run {

/// Leads one person through a plan. Pure: no clock, no file, no thread; live and on replay the same
/// samples and answers give the same journal, prompts and marks.
///
/// Whoever drives it keeps every event before it is applied:
///   for (const Event& e : engine.listen(t, field)) { journal(e); engine.apply(e); }
///   journal(answer); engine.apply(answer);
class Engine {
 public:
  /// journal  of a run to go on with; empty: a new one
  explicit Engine(std::shared_ptr<const Plan> plan, const std::vector<Event>& journal = {})
      : state_{rebuild(std::move(plan), journal)}, listener_{state_} {}

  /// What a sample leads to; not applied yet.
  std::vector<Event> listen(double time_s, const Vector3& field_uT) {
    return listener_.take(time_s, field_uT, state_);
  }
  /// The same for a heading that a link shows, degrees.
  std::vector<Event> listen(double time_s, double heading_deg) {
    return headings_.take(time_s, heading_deg, state_);
  }
  /// What it leads to that time passes without samples; not applied yet.
  std::vector<Event> time_is(double time_s) { return listener_.time_is(time_s, state_); }
  /// What the readings so far lead to; not applied yet. Asked for after each event until there is
  /// nothing more.
  std::vector<Event> weigh() const {
    const bool unweighed = state_.weighed < state_.heard && state_.plan->weigh;
    return unweighed ? state_.plan->weigh(state_) : std::vector<Event>{};
  }
  /// false: an event of that key is known, nothing was changed.
  bool apply(const Event& event) { return qn::run::apply(state_, event); }

  /// What to show at `now_s` of the recording.
  Prompt prompt(double now_s) const { return prompt_of(state_, now_s); }
  const State& state() const { return state_; }
  const std::vector<Mark>& marks() const { return state_.marks; }
  bool over() const { return state_.phase == State::Phase::over; }

 private:
  State state_;
  Listener listener_;
  HeadingListener headings_;
};

}  // namespace qn::run
