// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_listener.h"

#include <algorithm>
#include <cmath>

#include "procedure/plan_times_internal.h"

namespace qn::run {
namespace {

constexpr double kGap_s = 2.5;
constexpr std::size_t kAfter = 3, kBefore = 6;  // blocks that a step is looked for between
constexpr std::size_t kLookOn = 2;              // blocks more, to see where the step really was
// Chi-square with 3 degrees of freedom: one false alarm in many hours, even of correlated noise.
constexpr double kStepScore = 60.0, kMovedScore = 25.0;
constexpr double kNearMark_s = 8.0;  // marks may be so far off
constexpr double kStale_s = 20.0;    // who has not answered by then, will not
constexpr double kReaction_s = 3.0;  // from being asked until the switch is thrown
constexpr double kTeaches = 0.97;    // ten more seconds that narrow by less than this teach nothing

double square_of(const Vector3& a, const Vector3& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < 3; ++i) sum += (a[i] - b[i]) * (a[i] - b[i]);
  return sum;
}

Vector3 mean_of(const Blocks& blocks, std::size_t from_ago, std::size_t count) {
  Vector3 mean{};
  for (std::size_t k = 0; k < count; ++k) {
    for (std::size_t i = 0; i < 3; ++i) mean[i] += blocks.back(from_ago + k).mean_uT[i];
  }
  for (double& m : mean) m /= static_cast<double>(count);
  return mean;
}

/// Squared distance of the means on both sides of the end of the block `ago`, in variances.
double step_score(const Blocks& blocks, std::size_t after, double R, double q) {
  const double na = static_cast<double>(after), nb = static_cast<double>(kBefore);
  const double variance = R * (1.0 / na + 1.0 / nb) + q * (na + nb) / 3.0;
  return square_of(mean_of(blocks, 0, after), mean_of(blocks, after, kBefore)) / variance;
}

}  // namespace

Listener::Listener(const State& state) : noise_{state.plan->R_uT2_s, state.plan->q_uT2_per_s} {
  if (!state.journal.empty()) noise_ = RunningNoise{state.R_uT2_s, state.q_uT2_per_s};
}

Event Listener::heard(EventKind kind) const {
  Event event = said(kind, now_s_);
  event.R_uT2_s = noise_.R_uT2_s();
  event.q_uT2_per_s = noise_.q_uT2_per_s();
  return event;
}

std::vector<Event> Listener::take(double time_s, const Vector3& field_uT, const State& state) {
  std::vector<Event> events;
  if (any_ && time_s <= now_s_) return events;
  if (any_ && time_s - now_s_ > kGap_s) {
    blocks_.clear();
    count_ = 0;
    since_crossing_ = 0;
    events.push_back(said(EventKind::gap, time_s));
  }
  now_s_ = time_s;
  any_ = true;
  if (count_ > 0 && time_s >= block_from_s_ + 1.0) close_block(state, events);
  if (count_ == 0) {
    block_from_s_ = std::floor(time_s);
    sum_ = {};
  }
  for (std::size_t i = 0; i < 3; ++i) sum_[i] += field_uT[i];
  ++count_;
  return events;
}

std::vector<Event> Listener::time_is(double time_s, const State& state) {
  std::vector<Event> events;
  if (time_s <= now_s_) return events;
  const double heard_until_s = now_s_;
  now_s_ = time_s;
  const auto why = held(state);
  if (why && (why == HeldWhy::device_limit || state.plan->by_time)) {
    Event event = heard(EventKind::held);
    event.why = *why;
    events.push_back(event);
  }
  now_s_ = heard_until_s;
  return events;
}

void Listener::close_block(const State& state, std::vector<Event>& events) {
  Block block{block_from_s_, sum_};
  for (double& mean : block.mean_uT) mean /= static_cast<double>(count_);
  blocks_.add(block);
  count_ = 0;
  if (state.phase == State::Phase::over) return;
  // Only while everything rests: what a device does to the field must not touch what is taken for
  // noise, or a hold would end by what is read. Nor must a switch that nobody has told of yet.
  if (!state.away() && !state.offered_at_s && since_crossing_ == 0) {
    noise_.take(blocks_, block.from_s + 1.0 - std::max(state.settled_s(), unsettled_until_s_));
  }
  judge_visit(state, events);
  look_for_step(state, events);
  judge_drift(state, events);
  if (const auto why = held(state)) {
    Event event = heard(EventKind::held);
    event.why = *why;
    events.push_back(event);
  }
}

bool Listener::expected_change(const State& state, double at_s) const {
  if (state.waits_at_work() && !state.step().listens) return true;
  if (state.in_step() && !state.step().offers) return true;
  // Between the question and its answer: what was asked for, marked by a late hand.
  if (state.phase == State::Phase::wait && at_s > state.asked_s - kNearMark_s &&
      at_s <= state.since_s) {
    return true;
  }
  const std::size_t count = state.marks.size();
  for (std::size_t k = count > 4 ? count - 4 : 0; k < count; ++k) {
    const double mark_s = state.marks[k].time_s;
    const double transit_s = k + 1 == count ? state.settled_s() - mark_s : kNearMark_s;
    if (at_s > mark_s - kNearMark_s && at_s < mark_s + kNearMark_s + transit_s) return true;
  }
  return false;
}

void Listener::look_for_step(const State& state, std::vector<Event>& events) {
  const std::size_t needed = kAfter + kBefore + kLookOn;
  if (blocks_.size() < needed || now_s_ < silent_until_s_) return;
  const double R = noise_.R_uT2_s(), q = noise_.q_uT2_per_s();
  if (since_crossing_ == 0) {
    if (step_score(blocks_, kAfter, R, q) > kStepScore) since_crossing_ = 1;
    return;
  }
  if (since_crossing_++ < kLookOn) return;
  since_crossing_ = 0;
  std::size_t best = 1;
  for (std::size_t after = 1; after <= kAfter + kLookOn; ++after) {
    if (step_score(blocks_, after, R, q) > step_score(blocks_, best, R, q)) best = after;
  }
  const double at_s = blocks_.back(best - 1).from_s;
  silent_until_s_ = at_s + static_cast<double>(kBefore) + 5.0;
  unsettled_until_s_ = blocks_.back(0).from_s + 1.0;
  if (state.paused || expected_change(state, at_s)) return;
  if (state.offered_at_s && at_s - *state.offered_at_s < kStale_s) return;
  Event event = heard(EventKind::seen);
  event.at_s = at_s;
  events.push_back(event);
}

void Listener::judge_visit(const State& state, std::vector<Event>& events) const {
  if (!state.visit || !state.visit->back) return;
  const OpenVisit& visit = *state.visit;
  const double R = noise_.R_uT2_s(), q = noise_.q_uT2_per_s();
  const double transit_s = state.plan->steps[visit.step].transit_s;
  const auto rest = blocks_.between(visit.rest_from_s, visit.from_s - kUncountedEnd_s);
  const auto on =
      blocks_.between(visit.from_s + transit_s + kUncountedEnd_s, visit.to_s - kUncountedEnd_s);
  Event event = heard(EventKind::visit);
  event.moved = true;  // until shown otherwise: no repeat for want of samples
  if (rest.seconds > 0.0 && on.seconds > 0.0) {
    event.information = 1.0 / visit_variance_uT2(R, q, on.seconds, rest.seconds);
    const double variance = R * (1.0 / rest.seconds + 1.0 / on.seconds) +
                            q * (rest.seconds + on.seconds + transit_s) / 3.0;
    event.moved = square_of(on.mean_uT, rest.mean_uT) / variance > kMovedScore;
  }
  events.push_back(event);
}

void Listener::judge_drift(const State& state, std::vector<Event>& events) const {
  if (!noise_.settled() || state.paused || state.away()) return;
  // The best that any holding can do, with as many visits as there may be.
  const double floor_uT2 = std::sqrt(noise_.R_uT2_s() * noise_.q_uT2_per_s()) /
                           static_cast<double>(state.plan->most_visits);
  const Angle floor = half_width_of(floor_uT2, state.plan->horizontal_uT);
  // Noise alone is no reason to wait: it will be the same in ten minutes.
  const bool wanders = noise_.q_uT2_per_s() > 2.0 * state.plan->q_uT2_per_s;
  const bool fast = wanders && floor > state.plan->wanted;
  if (!state.drifting && fast) events.push_back(heard(EventKind::drifting));
  if (state.drifting && (!wanders || floor < 0.8 * state.plan->wanted))
    events.push_back(heard(EventKind::calm));
}

std::optional<HeldWhy> Listener::held(const State& state) const {
  const double since_s = now_s_ - state.since_s;
  if (state.paused) return std::nullopt;
  if (state.phase == State::Phase::first_rest) {
    if (since_s >= state.plan->first_rest_s) return HeldWhy::rested;
    return std::nullopt;
  }
  if (state.phase != State::Phase::wait) return std::nullopt;
  const Act& act = state.acts[state.act];
  const double waited_s = since_s - act.transit_s;
  if (act.kind != Act::Kind::work) {
    if (waited_s >= act.wait_s) return HeldWhy::rested;
    return std::nullopt;
  }
  const Step& step = state.step();
  if (step.device_limit_s) {
    const double margin_s = std::min(kReaction_s, 0.25 * *step.device_limit_s);
    if (waited_s >= *step.device_limit_s - margin_s) return HeldWhy::device_limit;
  }
  if (!step.aim) {
    if (waited_s >= step.wait_s) return HeldWhy::rested;
    return std::nullopt;
  }
  if (waited_s < step.least_s) return std::nullopt;
  if (!state.visit || waited_s >= step.longest_s) return HeldWhy::no_more_to_win;
  const double until_s = state.since_s - kUncountedEnd_s;
  const double rest_s = blocks_.between(state.visit->rest_from_s, until_s).seconds;
  const double held_s =
      std::max(0.0, blocks_.between(state.settled_s(), now_s_).seconds - kUncountedEnd_s);
  const auto width = [&](double seconds) {
    return expected_half_width(state, *step.aim, seconds, rest_s, noise_.R_uT2_s(),
                               noise_.q_uT2_per_s());
  };
  const Angle now = width(held_s);
  if (now < state.plan->wanted) return HeldWhy::narrow;
  if (rest_s > 0.0 && held_s > 0.0 && width(held_s + 10.0) > kTeaches * now) {
    return HeldWhy::no_more_to_win;
  }
  return std::nullopt;
}

}  // namespace qn::run
