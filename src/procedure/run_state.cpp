// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_state.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "procedure/plan_times_internal.h"
#include "procedure/run_reads_internal.h"
#include "procedure/run_steps_internal.h"

namespace qn::run {
namespace {

using Phase = State::Phase;
constexpr double kDeclinedFor_s = 600.0;  // who does not want to wait is not asked again soon

void note_helper(State& s, const Act& act) {
  const auto same = [&](const Helper& h) { return h.name == act.device; };
  if (act.kind == Act::Kind::helper_off) {
    s.helpers_on.erase(std::remove_if(s.helpers_on.begin(), s.helpers_on.end(), same),
                       s.helpers_on.end());
  } else if (act.kind == Act::Kind::helper_on) {
    for (const Helper& h : s.step().helpers) {
      if (same(h)) s.helpers_on.push_back(h);
    }
  }
}

/// What was asked for is done, at that moment.
void done_at(State& s, double at_s) {
  const Act& act = s.acts[s.act];
  const double settled_s = s.settled_s();
  const double earliest_s = s.marks.empty() ? 0.0 : s.marks.back().time_s;
  s.since_s = std::max(std::min(at_s, s.now_s), earliest_s);
  s.marks.push_back({s.since_s, act.device, act.state, 0});
  s.held.reset();
  s.offered_at_s.reset();
  s.rest_asked = false;
  if (act.kind == Act::Kind::work) {
    s.visit = OpenVisit{s.todo[s.at].step, settled_s, s.since_s, 0.0, false};
  } else if (act.kind == Act::Kind::back && s.visit) {
    s.visit->to_s = s.since_s;
    s.visit->back = true;
    if (const auto aim = s.step().aim) ++s.aims[*aim].visits;
  }
  note_helper(s, act);
  s.phase = Phase::wait;
  if (act.kind != Act::Kind::work && act.wait_s <= 0.0) next_act(s);
}

bool names(const Event& event, const Act& act) {
  return act.device == event.device && act.state == event.state;
}

void tapped(State& s, const Event& event) {
  const bool named = !event.device.empty();
  if (s.waits_at_work() && s.act + 1 < s.acts.size() &&
      (named ? names(event, s.acts[s.act + 1]) : s.offered_at_s.has_value())) {
    next_act(s);  // it went back by itself, or by a hand that did not wait to be asked
  }
  if (s.phase != Phase::ask || s.act >= s.acts.size()) return;
  if (s.asks_for_number()) return;  // that takes a number
  if (!named || names(event, s.acts[s.act])) done_at(s, event.at_s);
}

void answered_not(State& s) {
  if (s.asks_for_number() && !s.offered_at_s) return leave_read(s);  // nothing can be read there
  if (s.offered_at_s) {
    notice(s, fmt::format("Something changed at {} that was nothing asked for.",
                          clock_text(*s.offered_at_s)));
  }
  s.offered_at_s.reset();
}

/// Nobody can stand there, in neither turn; what the others show without it is weighed.
void leave_mark_out(State& s) {
  notice(s, fmt::format("{} is left out: that mark cannot be used.", s.step().device));
  s.acts.resize(s.act + 1);
  ++s.heard;
  s.leaving_read = true;
  if (!s.plan->weigh) weighed(s);
}

void no_such_device(State& s, const Event& event) {
  const bool asked = s.phase == Phase::ask && s.act < s.acts.size();
  if (!(asked || s.phase == Phase::caution) || s.at >= s.todo.size()) return;
  if (asked &&
      (s.acts[s.act].kind == Act::Kind::back || s.acts[s.act].kind == Act::Kind::helper_off)) {
    return;  // what was worked is there
  }
  if (asked && !event.device.empty() && !names(event, s.acts[s.act])) return;  // too late
  const std::string device = asked ? s.acts[s.act].device : s.step().device;
  s.absent.push_back(device);
  s.offered_at_s.reset();
  if (asked && s.acts[s.act].kind == Act::Kind::work && s.step().place) {
    return leave_mark_out(s);
  }
  notice(s, fmt::format("{} is left out: the aircraft has none.", device));
  if (s.asks_for_number()) return leave_read(s);
  go_on(s);
}

/// The step of that device and state, brought to the present place of the list.
bool bring_forward(State& s, const std::string& device, std::string state_name) {
  const Plan& plan = *s.plan;
  const auto fits = [&](std::size_t step) {
    return plan.steps[step].device == device &&
           (state_name.empty() || plan.steps[step].state == state_name);
  };
  const auto here = s.todo.begin() + static_cast<std::ptrdiff_t>(s.at);
  const auto later =
      std::find_if(here, s.todo.end(), [&](const Todo& t) { return !t.done && fits(t.step); });
  if (later != s.todo.end()) {
    std::rotate(here, later, later + 1);
    return true;
  }
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    if (!fits(i)) continue;
    s.todo.insert(here, {i, true, false});
    return true;
  }
  return false;
}

void another(State& s, const Event& event) {
  const bool at_reference = s.phase == Phase::ask && s.act < s.acts.size() &&
                            s.acts[s.act].kind != Act::Kind::back && s.at < s.todo.size();
  if (!at_reference && s.phase != Phase::caution) return;
  if (!bring_forward(s, event.device, event.state)) {
    notice(s, fmt::format("{} is not in the plan.", event.device));
    return;
  }
  std::erase(s.absent, event.device);  // it is there after all
  // Done is done: its helpers are as they are, and its caution comes too late to be asked for.
  s.acts = acts_of(s);
  s.act = 0;
  while (s.acts[s.act].kind != Act::Kind::work) ++s.act;
  s.phase = Phase::ask;
  done_at(s, event.at_s);
}

void again(State& s) {
  std::optional<std::size_t> step;
  const bool begun = s.at < s.todo.size() && s.act < s.acts.size() &&
                     (s.phase == Phase::wait || s.acts[s.act].kind == Act::Kind::back ||
                      s.acts[s.act].kind == Act::Kind::read);
  if (begun) step = s.todo[s.at].step;
  for (std::size_t i = s.at; !step && i > 0; --i) {
    const Todo& before = s.todo[i - 1];
    if (before.done && !is_absent(s, s.plan->steps[before.step].device)) step = before.step;
  }
  if (!step || s.phase == Phase::over) return;
  s.offered_at_s.reset();
  s.todo.push_back({*step, true, false});
  notice(s, fmt::format("{} is worked once more later.", s.plan->steps[*step].device));
}

void resumed(State& s) {
  if (s.rest_asked && !s.paused) {
    s.rest_asked = false;
    s.rest_declined_s = s.now_s;
    return;
  }
  if (!s.paused) return;
  s.paused = false;
  s.asked_s = s.now_s;
  if (s.waits_at_work() && s.act + 1 < s.acts.size()) {
    next_act(s);  // nobody leaves it on for as long as that: whatever was learnt must do
  } else if (s.phase == Phase::wait || s.phase == Phase::first_rest) {
    s.since_s = s.now_s;
  }
}

void held(State& s, HeldWhy why) {
  if (s.paused) return;
  if (s.phase == Phase::first_rest) {
    go_on(s);
  } else if (s.phase == Phase::wait) {
    s.held = why;
    next_act(s);
  }
}

void judged(State& s, const Event& event) {
  if (!s.visit) return;
  if (const auto aim = s.plan->steps[s.visit->step].aim) {
    s.aims[*aim].information += event.information;
    ++(event.moved ? s.aims[*aim].moved : s.aims[*aim].still);
  }
  s.visit.reset();
}

void acknowledged(State& s) {
  if (s.phase == Phase::safety) {
    s.phase = Phase::first_rest;
    s.since_s = s.now_s;
    if (s.plan->first_rest_s <= 0.0) go_on(s);
  } else if (s.phase == Phase::caution) {
    // Equal texts are one caution, in whichever group they stand.
    const auto& texts = s.plan->caution_of_group;
    for (std::size_t g = 0; g < texts.size(); ++g) {
      if (texts[g] == texts[s.step().group]) s.acknowledged[g] = true;
    }
    go_on(s);
  }
}

void learnt(State& s, const Event& event) {
  if (!(event.R_uT2_s > 0.0 && event.q_uT2_per_s > 0.0)) return;
  s.R_uT2_s = event.R_uT2_s;
  s.q_uT2_per_s = event.q_uT2_per_s;
}

void of_operator(State& s, const Event& event) {
  // While it is paused, nothing but going on (or stopping) is understood.
  if (s.paused && event.kind != EventKind::resume && event.kind != EventKind::stop) return;
  switch (event.kind) {
    case EventKind::tap: return tapped(s, event);
    case EventKind::not_yet: return answered_not(s);
    case EventKind::no_such_device: return no_such_device(s, event);
    case EventKind::another: return another(s, event);
    case EventKind::again: return again(s);
    case EventKind::resume: return resumed(s);
    case EventKind::acknowledge: return acknowledged(s);
    case EventKind::reading: return was_read(s, event);
    case EventKind::pause:
      s.paused = s.phase != Phase::over;
      s.offered_at_s.reset();
      return;
    case EventKind::stop:
      if (s.phase != Phase::over) s.stopped = true;
      s.paused = false;
      s.phase = Phase::over;
      return;
    default: return;
  }
}

void of_program(State& s, const Event& event) {
  learnt(s, event);
  switch (event.kind) {
    case EventKind::held: return held(s, event.why);
    case EventKind::visit: return judged(s, event);
    case EventKind::seen:
      if (s.phase != Phase::over) s.offered_at_s = event.at_s;
      return;
    case EventKind::drifting:
      s.drifting = true;
      s.rest_asked = s.now_s - s.rest_declined_s > kDeclinedFor_s;
      return;
    case EventKind::calm:
      s.drifting = false;
      s.rest_asked = false;
      return;
    case EventKind::gap:
      // Where nobody waits for samples, none are missing.
      if (s.plan->by_time) return;
      return notice(s, fmt::format("Samples are missing before {}.", clock_text(s.now_s)));
    case EventKind::doubt: return doubted(s, event);
    case EventKind::wanted: return wanted(s, event);
    case EventKind::weighed: return weighed(s);
    default: return;
  }
}

}  // namespace

bool State::away() const {
  if (!in_step() || act >= acts.size() || step().reference.empty()) return false;
  return waits_at_work() || (phase == Phase::ask && acts[act].kind == Act::Kind::back);
}

double State::settled_s() const {
  if (marks.empty()) return since_s;
  double transit_s = 0.0;
  for (const Step& s : plan->steps) {
    if (s.device == marks.back().device) transit_s = std::max(transit_s, s.transit_s);
  }
  return marks.back().time_s + transit_s + kUncountedEnd_s;
}

std::size_t State::visits_to_come(std::size_t aim) const {
  std::size_t count = 0;
  for (std::size_t i = at; i < todo.size(); ++i) {
    if (!todo[i].done && plan->steps[todo[i].step].aim == aim) ++count;
  }
  return count;
}

State start(std::shared_ptr<const Plan> plan) {
  State state;
  state.plan = std::move(plan);
  for (std::size_t i = 0; i + state.plan->spare < state.plan->steps.size(); ++i)
    state.todo.push_back({i, false, false});
  state.acknowledged.resize(std::max<std::size_t>(1, state.plan->caution_of_group.size()));
  state.aims.resize(state.plan->aims.size());
  state.R_uT2_s = state.plan->R_uT2_s;
  state.q_uT2_per_s = state.plan->q_uT2_per_s;
  state.phase = state.plan->safety.empty() ? Phase::first_rest : Phase::safety;
  return state;
}

bool apply(State& state, const Event& event) {
  if (!event.key.empty() && !state.keys.insert(event.key).second) return false;
  state.journal.push_back(event);
  state.now_s = std::max(state.now_s, event.time_s);
  of_operator(state, event);
  of_program(state, event);
  return true;
}

State rebuild(std::shared_ptr<const Plan> plan, const std::vector<Event>& journal) {
  State state = start(std::move(plan));
  for (const Event& event : journal) apply(state, event);
  return state;
}

std::string clock_text(double time_s) {
  const long seconds = std::lround(std::max(0.0, std::floor(time_s)));
  return fmt::format("{}:{:02}", seconds / 60, seconds % 60);
}

}  // namespace qn::run
