// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_prompt.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace qn::run {
namespace {

using Phase = State::Phase;

constexpr double kQuickHand_s = 4.0, kSlowHand_s = 20.0;  // for one thing that is asked for
constexpr double kNews_s = 30.0;                          // so long something noticed is shown

Answer stop() { return {"Stop", EventKind::stop}; }

std::string why_held(HeldWhy why) {
  switch (why) {
    case HeldWhy::rested: return {};
    case HeldWhy::narrow: return "Long enough: the band is narrow enough.";
    case HeldWhy::device_limit: return "It should not stay so any longer.";
    case HeldWhy::no_more_to_win:
      return "Long enough: more time would not narrow the band; repeats may.";
  }
  return {};
}

/// Remaining time: everything as short as it can be, and everything as planned or longer with a
/// slow hand.
void estimate(const State& s, double now_s, Prompt& prompt) {
  if (s.phase == Phase::over) return;
  double least = 0.0, most = 0.0;
  for (std::size_t i = s.at; i < s.todo.size(); ++i) {
    if (s.todo[i].done) continue;
    const Step& step = s.plan->steps[s.todo[i].step];
    const double acts = step.reference.empty() ? 1.0 : 2.0;
    const double fixed = acts * step.transit_s + step.rest_s;
    const double limit = step.device_limit_s.value_or(1e9);
    const double shortest = step.aim ? step.least_s : step.wait_s;
    const double hands = acts + 2.0 * static_cast<double>(step.helpers.size()) +
                         static_cast<double>(step.reads.size());
    least += fixed + std::min(shortest, limit) + kQuickHand_s * acts;
    most += fixed + std::min(std::max(shortest, 1.5 * step.wait_s), limit) + step.lead_s +
            step.trail_s + kSlowHand_s * hands;
  }
  if (s.phase == Phase::safety) least += s.plan->first_rest_s, most += s.plan->first_rest_s;
  double gone = 0.0;
  if (s.phase == Phase::first_rest) {
    const double left = std::max(0.0, s.plan->first_rest_s - (now_s - s.since_s));
    least += left, most += left;
  } else if (s.phase == Phase::wait && s.act < s.acts.size()) {
    gone = std::max(0.0, now_s - s.since_s);
    if (s.acts[s.act].kind != Act::Kind::work) gone += s.step().wait_s;
  }
  prompt.least_left_s = std::max(0.0, least - gone);
  prompt.most_left_s = std::max(prompt.least_left_s, most - gone);
}

std::string duration_text(double seconds) {
  return seconds < 90.0 ? fmt::format("{:.0f} s", std::max(1.0, seconds))
                        : fmt::format("{:.0f} min", seconds / 60.0);
}

void offer(const State& s, double now_s, Prompt& prompt) {
  const double ago_s = std::max(0.0, now_s - *s.offered_at_s);
  const Act& act = s.acts[s.act + (s.phase == Phase::wait ? 1 : 0)];
  prompt.sentence = fmt::format("Something changed {} ago: was it {}, now \"{}\"?",
                                duration_text(ago_s), act.device, act.state);
  prompt.main = Answer{"Yes, that was it", EventKind::tap, ago_s, act.device, act.state};
  prompt.second = Answer{"No", EventKind::not_yet};
}

bool can_offer(const State& s) {
  if (!s.offered_at_s || s.at >= s.todo.size()) return false;
  if (s.phase == Phase::ask) return s.act < s.acts.size() && *s.offered_at_s >= s.asked_s - 30.0;
  return s.waits_at_work() && s.act + 1 < s.acts.size();
}

void ask(const State& s, double now_s, Prompt& prompt) {
  const Act& act = s.acts[s.act];
  prompt.sentence = act.say;
  if (act.kind == Act::Kind::read) {
    prompt.second = Answer{act.again ? act.label : "It cannot be read here", EventKind::not_yet,
                           0.0, act.device, act.state};
    return;
  }
  prompt.main = Answer{act.label, EventKind::tap, 0.0, act.device, act.state};
  if (s.held) prompt.held = why_held(*s.held);
  if (act.kind == Act::Kind::work && s.at < s.todo.size()) {
    prompt.members = s.step().members;
    prompt.caution = s.step().caution;
  }
  if (act.kind == Act::Kind::work && s.at < s.todo.size() && s.step().place) {
    prompt.leave_out =
        Answer{"This mark cannot be used", EventKind::no_such_device, 0.0, act.device, act.state};
  }
  const bool going = act.kind == Act::Kind::work || act.kind == Act::Kind::helper_on;
  const bool maybe_absent = going && s.at < s.todo.size() && s.step().offers &&
                            (s.step().optional || now_s - s.asked_s > 40.0);
  if (act.kind == Act::Kind::work && s.at < s.todo.size() && s.todo[s.at].wanted) {
    prompt.second = Answer{"That will do: stop here", EventKind::stop};
    return;
  }
  prompt.second =
      maybe_absent ? Answer{"There is no such device", EventKind::no_such_device}
                   : Answer{"It was a few seconds ago", EventKind::tap, 5.0, act.device, act.state};
}

void wait(const State& s, Prompt& prompt) {
  const Act& act = s.acts[s.act];
  if (act.kind == Act::Kind::work && s.step().reference.empty()) {
    prompt.sentence = fmt::format("It stands on {}: leave it there.", act.device);
  } else if (act.kind == Act::Kind::work) {
    prompt.sentence = fmt::format("{} stays as it is; touch nothing else.", act.device);
  } else {
    prompt.sentence = "Everything rests; touch nothing.";
  }
  prompt.second = Answer{"Something went wrong: once more later", EventKind::again};
}

/// What is in hand, what comes after it in the same step, and how long it is waited for.
void look_ahead(const State& s, Prompt& prompt) {
  const bool waits = s.phase == Phase::wait;
  if (s.phase == Phase::first_rest) prompt.wait_s = s.plan->first_rest_s;
  if (!(waits || s.phase == Phase::ask) || s.act >= s.acts.size()) return;
  const Act& act = s.acts[s.act];
  prompt.device = act.device;
  prompt.state = act.state;
  if (waits) {
    const bool by_width = act.kind == Act::Kind::work && s.step().aim;
    prompt.wait_s = act.transit_s + (by_width ? s.step().wait_s : act.wait_s);
  }
  const std::size_t question = s.act + (waits ? 1 : 0);
  if (question < s.acts.size() && s.acts[question].kind == Act::Kind::read) {
    const Act& read = s.acts[question];
    prompt.number = AskedNumber{read.say, read.device, read.state, read.by_link, read.again};
  }
  if (s.act + 1 >= s.acts.size()) return;
  const Act& after = s.acts[s.act + 1];
  if (after.kind == Act::Kind::read) return;  // that takes a number, not a tap
  prompt.then = Ahead{after.say, {after.label, EventKind::tap, 0.0, after.device, after.state}};
}

void say_over(const State& s, Prompt& prompt) {
  prompt.over = true;
  prompt.sentence = s.stopped ? "Stopped. What was recorded is kept."
                              : "That was all. What was recorded is kept.";
  if (!s.stopped) return;
  std::string on;
  for (const Helper& helper : s.helpers_on) on += (on.empty() ? "" : ", ") + helper.name;
  if (s.visit && !s.visit->back && !s.plan->steps[s.visit->step].reference.empty()) {
    on += (on.empty() ? "" : ", ") + s.plan->steps[s.visit->step].device;
  }
  if (!on.empty()) prompt.sentence += fmt::format(" Put back: {}.", on);
}

void say(const State& s, double now_s, Prompt& prompt) {
  if (s.phase == Phase::over) return say_over(s, prompt);
  if (s.paused) {
    prompt.sentence = s.away() ? fmt::format("Paused. {} is still away: put it back when you can.",
                                             s.acts[s.act].device)
                               : "Paused. Nothing is lost.";
    prompt.main = Answer{"Go on", EventKind::resume};
    prompt.second = stop();
    return;
  }
  switch (s.phase) {
    case Phase::safety:
    case Phase::caution:
      prompt.caution =
          s.phase == Phase::safety ? s.plan->safety : s.plan->caution_of_group[s.step().group];
      prompt.sentence = s.phase == Phase::safety
                            ? "Read this before anything is worked."
                            : fmt::format("Read this before {} is worked.", s.step().device);
      prompt.must_acknowledge = true;
      prompt.main = Answer{"Read and done", EventKind::acknowledge};
      prompt.second = stop();
      return;
    case Phase::first_rest:
      prompt.sentence = "Everything off and at rest; the sensor is listened to.";
      prompt.second = Answer{"Pause", EventKind::pause};
      return;
    case Phase::ask:
      if (s.rest_asked && !s.away()) {
        prompt.sentence =
            "The field wanders too fast at present: let everything rest until it is calmer.";
        prompt.second = Answer{"Go on anyway", EventKind::resume};
        return;
      }
      if (can_offer(s)) return offer(s, now_s, prompt);
      return ask(s, now_s, prompt);
    case Phase::wait:
      if (can_offer(s)) return offer(s, now_s, prompt);
      return wait(s, prompt);
    case Phase::over: return;
  }
}

}  // namespace

Prompt prompt_of(const State& s, double now_s) {
  Prompt prompt;
  say(s, now_s, prompt);
  if (!s.paused) look_ahead(s, prompt);
  prompt.steps = s.todo.size();
  prompt.step = std::min(s.at + 1, s.todo.size());
  if (!s.noticed.empty() && now_s - s.noticed.back().time_s < kNews_s) {
    prompt.noticed = s.noticed.back().text;
  }
  // Seen where nothing was asked for: said, and one more pass offered by the second answer.
  if (s.offered_at_s && !can_offer(s) && !prompt.over && !s.paused) {
    prompt.noticed = fmt::format("Something changed {} ago and nothing was asked for.",
                                 duration_text(now_s - *s.offered_at_s));
    if (!prompt.must_acknowledge) {
      prompt.second = Answer{"Once more later", EventKind::again};
    }
  }
  for (std::size_t i = s.at + 1; i < s.todo.size() && prompt.next.empty(); ++i) {
    if (!s.todo[i].done) prompt.next = s.plan->steps[s.todo[i].step].say;
  }
  estimate(s, now_s, prompt);
  return prompt;
}

}  // namespace qn::run
