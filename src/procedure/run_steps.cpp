// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "procedure/plan_times_internal.h"
#include "procedure/run_steps_internal.h"

namespace qn::run {
namespace {

bool has_helper(const std::vector<Helper>& helpers, const std::string& name) {
  return std::any_of(helpers.begin(), helpers.end(),
                     [&](const Helper& h) { return h.name == name; });
}

Act helper_act(const Helper& helper, bool on) {
  Act act;
  act.kind = on ? Act::Kind::helper_on : Act::Kind::helper_off;
  act.device = helper.name;
  act.state = on ? helper.on : helper.off;
  act.say =
      fmt::format("Switch {}: {}{}.", act.state, helper.name, on ? ", it is needed next" : "");
  act.label = fmt::format("It is {}", act.state);
  return act;
}

void add_helpers(const std::vector<Helper>& helpers, bool on, double wait_s,
                 std::vector<Act>& acts) {
  for (const Helper& helper : helpers) acts.push_back(helper_act(helper, on));
  if (!helpers.empty()) acts.back().wait_s = std::max(wait_s, kLeastHold_s);
}

std::size_t step_of_aim(const Plan& plan, std::size_t aim) {
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    if (plan.steps[i].aim == aim) return i;
  }
  return plan.steps.size();
}

void begin_step(State& state) {
  const Step& step = state.step();
  state.asked_s = state.now_s;
  state.act = 0;
  state.acts.clear();
  if (step.group != 0 && !state.acknowledged[step.group]) {
    state.phase = State::Phase::caution;
    return;
  }
  state.acts = acts_of(state);
  state.phase = State::Phase::ask;
}

Act read_act(const Step& step, const ToRead& read) {
  Act act;
  act.kind = Act::Kind::read;
  act.device = read.device;
  act.state = read_name(step.device, step.state, read.with);
  act.say = read.say;
  act.loads = read.with;
  act.by_link = read.by_link;
  return act;
}

/// The state of the loads as it was marked last; empty: nothing was said of them.
std::string loads_now(const State& state) {
  for (auto mark = state.marks.rbegin(); mark != state.marks.rend(); ++mark) {
    if (mark->device == state.plan->loads) return mark->state;
  }
  return {};
}

constexpr double kLoadsSettle_s = 5.0;

/// What is read as the loads stand comes first: so they are switched once a visit.
void add_reads(const State& state, std::vector<Act>& acts) {
  const Step& step = state.step();
  std::string on = loads_now(state);
  std::vector<std::string> turns;
  for (const ToRead& read : step.reads) {
    if (std::find(turns.begin(), turns.end(), read.with) == turns.end()) turns.push_back(read.with);
  }
  const auto first = std::find(turns.begin(), turns.end(), on);
  if (first != turns.end()) std::rotate(turns.begin(), first, first + 1);
  for (const std::string& turn : turns) {
    if (!turn.empty() && turn != on) {
      const Act::Kind kind = turn == "off" ? Act::Kind::helper_off : Act::Kind::helper_on;
      acts.push_back({kind, state.plan->loads, turn,
                      fmt::format("Switch {}: {}.", turn, state.plan->loads),
                      fmt::format("They are {}", turn), 0.0, kLoadsSettle_s});
    }
    on = turn;
    for (const ToRead& read : step.reads) {
      if (read.with == turn && !is_absent(state, read.device)) {
        acts.push_back(read_act(step, read));
      }
    }
  }
}

/// After the last step: what is still on goes off, and that is all.
void finish(State& state) {
  state.acts.clear();
  state.act = 0;
  state.asked_s = state.now_s;
  add_helpers(state.helpers_on, false, 0.0, state.acts);
  if (!state.acts.empty()) state.acts.back().wait_s = 0.0;
  state.phase = state.acts.empty() ? State::Phase::over : State::Phase::ask;
}

}  // namespace

bool is_absent(const State& state, const std::string& device) {
  return std::find(state.absent.begin(), state.absent.end(), device) != state.absent.end();
}

void notice(State& state, std::string text) {
  state.noticed.push_back({state.now_s, std::move(text)});
}

std::string read_name(const std::string& device, const std::string& state,
                      const std::string& loads) {
  return device + " " + state + (loads.empty() ? "" : " " + loads);
}

std::vector<Act> acts_of(const State& state) {
  const Step& step = state.step();
  std::vector<Act> acts;
  std::vector<Helper> off, on, needed;
  for (const Helper& h : state.helpers_on) {
    if (!has_helper(step.helpers, h.name)) off.push_back(h);
  }
  for (const Helper& h : step.helpers) {
    if (is_absent(state, h.name)) continue;
    needed.push_back(h);
    if (!has_helper(state.helpers_on, h.name)) on.push_back(h);
  }
  add_helpers(off, false, 0.0, acts);
  add_helpers(on, true, step.lead_s, acts);
  acts.push_back({Act::Kind::work, step.device, step.state, step.say, step.label, step.transit_s,
                  step.wait_s});
  if (!step.reference.empty()) {
    acts.push_back({Act::Kind::back, step.device, step.reference, step.say_back, step.label_back,
                    step.transit_s, step.rest_s});
  }
  add_reads(state, acts);
  if (step.trail_s > 0.0) {
    std::reverse(needed.begin(), needed.end());
    add_helpers(needed, false, step.trail_s, acts);
  }
  return acts;
}

void next_act(State& state) {
  ++state.act;
  state.asked_s = state.now_s;
  if (state.act < state.acts.size()) {
    state.phase = State::Phase::ask;
    return;
  }
  if (state.at < state.todo.size()) state.todo[state.at].done = true;
  go_on(state);
}

bool add_repeats(State& state) {
  const Plan& plan = *state.plan;
  bool any = false;
  for (std::size_t i = 0; i < plan.aims.size(); ++i) {
    AimProgress& aim = state.aims[i];
    const std::size_t step = step_of_aim(plan, i);
    if (step == plan.steps.size() || is_absent(state, plan.aims[i].device)) continue;
    if (aim.visits == 0 || aim.visits >= plan.most_visits) continue;
    const bool wide = !(aim.information > 0.0) ||
                      half_width_of(1.0 / aim.information, plan.horizontal_uT) > plan.wanted;
    // Never seen at all is an answer; seen once and once not is a visit gone wrong.
    const bool missed = aim.moved > 0 && aim.still > aim.still_repeated;
    if (!wide && !missed) continue;
    if (missed) ++aim.still_repeated;
    state.todo.push_back({step, true, false});
    any = true;
  }
  if (any) notice(state, "Some steps are repeated, to be sure of them.");
  return any;
}

void go_on(State& state) {
  const auto pending = [&](const Todo& todo) {
    return !todo.done && !is_absent(state, state.plan->steps[todo.step].device);
  };
  while (state.at < state.todo.size() && !pending(state.todo[state.at])) ++state.at;
  if (state.at == state.todo.size() && !add_repeats(state)) {
    finish(state);
    return;
  }
  begin_step(state);
}

}  // namespace qn::run
