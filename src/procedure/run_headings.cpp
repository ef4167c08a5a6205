// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_headings.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "vocab/heading.h"

namespace qn::run {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kStep_deg = 0.01;  // finer than any display; the same number in every file

/// The question that the link may answer, and from when on it counts.
std::optional<double> counts_from_s(const State& s) {
  if (s.paused || !s.asks_for_number() || !s.acts[s.act].by_link) return std::nullopt;
  // Read again means: listen again.
  if (s.acts[s.act].again) return s.asked_s;
  return s.since_s + kSettles_s;
}

}  // namespace

std::optional<Event> HeadingListener::mean_since(double from_s) const {
  std::vector<double> seconds_deg;
  double east = 0.0, north = 0.0;
  // The second in hand is not whole yet.
  for (std::size_t ago = 1; ago < std::min(next_, kKept) && back(ago).from_s >= from_s; ++ago) {
    const double deg = std::atan2(back(ago).east, back(ago).north) / kDegree;
    seconds_deg.push_back(deg);
    east += std::sin(deg * kDegree);
    north += std::cos(deg * kDegree);
  }
  if (seconds_deg.size() < kLeastSeconds) return std::nullopt;
  const double mean_deg = std::atan2(east, north) / kDegree;
  // Their scatter, not that of the lines, tells how good it is: lines within a second mostly repeat
  // what was said before.
  double squares = 0.0;
  for (const double deg : seconds_deg) {
    const double off = wrap_180_deg(deg - mean_deg);
    squares += off * off;
  }
  const double count = static_cast<double>(seconds_deg.size());
  Event event = said(EventKind::reading, now_s_);
  event.number = wrap_360_deg(kStep_deg * std::round(mean_deg / kStep_deg));
  event.sigma = std::max(kStep_deg, std::sqrt(squares / (count - 1.0) / count));
  return event;
}

std::vector<Event> HeadingListener::take(double time_s, double heading_deg, const State& state) {
  std::vector<Event> events;
  if (!(time_s > now_s_) || !std::isfinite(heading_deg)) return events;
  now_s_ = time_s;
  const double second_s = std::floor(time_s);
  if (next_ == 0 || back(0).from_s != second_s) {
    ring_[next_++ % kKept] = Second{second_s, 0.0, 0.0};
    if (const auto from_s = counts_from_s(state)) {
      if (auto event = mean_since(*from_s)) {
        event->device = state.acts[state.act].device;
        event->state = state.acts[state.act].state;
        events.push_back(std::move(*event));
      }
    }
  }
  Second& now = ring_[(next_ - 1) % kKept];
  now.east += std::sin(heading_deg * kDegree);
  now.north += std::cos(heading_deg * kDegree);
  return events;
}

}  // namespace qn::run
