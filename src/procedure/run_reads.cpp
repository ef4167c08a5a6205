// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/run_reads_internal.h"
#include "procedure/run_steps_internal.h"
#include "vocab/heading.h"

namespace qn::run {
namespace {

using Phase = State::Phase;
// Read again within this of what was read before, it was no slip of the eye.
constexpr double kSame_deg = 1.0;

bool means(const Event& event, const Act& act) {
  return (event.device.empty() || event.device == act.device) &&
         (event.state.empty() || event.state == act.state);
}

bool means(const Event& event, const Read& read) {
  return read.kept && event.device == read.device &&
         (event.state.empty() || event.state == read_name(read.step, read.state, read.loads));
}

/// Where the question that the number answers stands among the acts: the one that is asked, or one
/// behind it, or behind the wait, with nothing but questions between.
std::optional<std::size_t> question_of(const State& s, const Event& event) {
  std::size_t from = s.acts.size();
  if (s.asks_for_number()) from = s.act;
  if (s.phase == Phase::wait) from = s.act + 1;
  for (std::size_t i = from; i < s.acts.size() && s.acts[i].kind == Act::Kind::read; ++i) {
    if (means(event, s.acts[i])) return i;
  }
  return std::nullopt;
}

void keep(State& s, const Event& event, Read read) {
  for (Read& before : s.reads) {
    if (!before.kept || !same_question(before, read)) continue;
    before.kept = false;
    read.confirmed =
        before.doubted && std::fabs(wrap_180_deg(event.number - before.number)) <= kSame_deg + 1e-9;
  }
  const auto before = std::find_if(s.reads.rbegin(), s.reads.rend(),
                                   [&](const Read& r) { return same_question(r, read); });
  if (before != s.reads.rend() && !read.confirmed && before->number != event.number) {
    notice(s, fmt::format("The {} on {}: {} in place of {}.", read.device, read.step,
                          reading_text(event.number), reading_text(before->number)));
  }
  read.time_s = event.time_s;
  read.number = event.number;
  read.sigma = event.sigma;
  s.reads.push_back(std::move(read));
  ++s.heard;
}

std::string more_words(const State& s) {
  std::vector<std::string> names;
  for (std::size_t i = s.at; i < s.todo.size(); ++i) {
    if (!s.todo[i].done && s.todo[i].wanted) names.push_back(s.plan->steps[s.todo[i].step].device);
  }
  std::string list;
  for (std::size_t i = 0; i < names.size(); ++i) {
    list += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
  }
  constexpr const char* kCounts[] = {"No", "One", "Two", "Three", "Four"};
  return fmt::format("{} more station{}: {}.", kCounts[std::min<std::size_t>(names.size(), 4)],
                     names.size() == 1 ? "" : "s", list);
}

}  // namespace

bool same_question(const Read& a, const Read& b) {
  return a.todo == b.todo && a.device == b.device && a.step == b.step && a.state == b.state &&
         a.loads == b.loads;
}

std::string reading_text(double deg) {
  const double whole = std::round(deg);
  return std::fabs(deg - whole) < 0.05 ? fmt::format("{:03.0f}", wrap_360_deg(whole))
                                       : fmt::format("{:05.1f}", deg);
}

void was_read(State& s, const Event& event) {
  if (s.phase == Phase::over || !std::isfinite(event.number)) return;
  if (const auto at = question_of(s, event)) {
    const std::size_t now = s.phase == Phase::wait ? s.act + 1 : s.act;
    const auto from = s.acts.begin() + static_cast<std::ptrdiff_t>(now);
    const auto to = s.acts.begin() + static_cast<std::ptrdiff_t>(*at);
    std::rotate(from, to, to + 1);
    s.act = now;
    s.phase = Phase::ask;
    Read read;
    read.todo = s.at;
    read.device = s.acts[now].device;
    read.step = s.step().device;
    read.state = s.step().state;
    read.loads = s.acts[now].loads;
    keep(s, event, std::move(read));
    s.leaving_read = true;
    if (!s.plan->weigh) weighed(s);
    return;
  }
  const auto before = std::find_if(s.reads.rbegin(), s.reads.rend(),
                                   [&](const Read& read) { return means(event, read); });
  if (before == s.reads.rend()) return;
  Read read = *before;
  read.doubted = read.confirmed = false;
  keep(s, event, std::move(read));
  if (!s.plan->weigh) weighed(s);
}

void leave_read(State& s) {
  ++s.heard;
  s.leaving_read = true;
  if (!s.plan->weigh) weighed(s);
}

void doubted(State& s, const Event& event) {
  const auto read = std::find_if(s.reads.rbegin(), s.reads.rend(),
                                 [&](const Read& r) { return means(event, r); });
  if (read == s.reads.rend() || read->doubted) return;
  read->doubted = true;
  // Only while the aircraft still stands there can it be read again at once.
  if (!s.leaving_read || read->todo != s.at || s.act >= s.acts.size()) return;
  Act again = s.acts[s.act];
  again.again = true;
  // What would fit is not said: it would be agreed with.
  const bool first = std::none_of(s.reads.begin(), s.reads.end(), [&](const Read& other) {
    return other.kept && &other != &*read && other.device == read->device;
  });
  again.say = fmt::format(
      "{} {}. Read the {} on {} again before you turn.", reading_text(read->number),
      first ? "is unusually far off" : "does not fit the others", read->device, read->step);
  again.label = fmt::format("{} is right", reading_text(read->number));
  s.acts.insert(s.acts.begin() + static_cast<std::ptrdiff_t>(s.act) + 1, again);
}

void wanted(State& s, const Event& event) {
  const Plan& plan = *s.plan;
  if (is_absent(s, event.device)) return;
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    if (plan.steps[i].device != event.device || plan.steps[i].state != event.state) continue;
    for (std::size_t k = s.at; k < s.todo.size(); ++k) {
      if (s.todo[k].step == i && !s.todo[k].done && (k > s.at || !s.leaving_read)) return;
    }
    s.todo.push_back({i, true, false, true});
    notice(s, more_words(s));
    return;
  }
}

void weighed(State& s) {
  s.weighed = s.heard;
  if (!s.leaving_read) return;
  s.leaving_read = false;
  if (s.act < s.acts.size()) next_act(s);
}

}  // namespace qn::run
