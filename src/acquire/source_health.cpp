// SPDX-License-Identifier: Apache-2.0
#include "acquire/source_health.h"

#include <algorithm>
#include <cmath>

namespace qn {
namespace {

constexpr std::size_t kMostArrivals = 16384;  // a second at 1600 Hz ten times
constexpr std::size_t kIntervals = 64;
constexpr double kGapIntervals = 5.0;  // as sensor-log.md counts gaps
constexpr double kLeastGap_s = 0.05;
constexpr std::size_t kStuckReadings = 20;

void add_finite(QuantityWatch& watch, double time_s, double value) {
  if (std::isfinite(value)) watch.add(time_s, value);
}

}  // namespace

void SourceHealth::count_gap(double time_s) {
  const double interval = time_s - last_time_s_;
  if (intervals_.size() >= kStuckReadings) {
    const double usual = median_of({intervals_.begin(), intervals_.end()});
    if (interval > std::max(kLeastGap_s, kGapIntervals * usual)) {
      ++gaps_;
      longest_gap_s_ = std::max(longest_gap_s_, interval);
      return;  // a pause is no usual interval
    }
  }
  intervals_.push_back(interval);
  if (intervals_.size() > kIntervals) intervals_.pop_front();
}

void SourceHealth::add(const TimedReading& timed) {
  const LinkReading& r = timed.reading;
  if (readings_ > 0) count_gap(timed.time_s);
  ++readings_;
  last_time_s_ = timed.time_s;
  last_arrival_s_ = timed.arrival_s;
  arrivals_.push_back(timed.arrival_s);
  while (arrivals_.size() > kMostArrivals || arrivals_.front() < timed.arrival_s - kWindow_s) {
    arrivals_.pop_front();
  }
  if (r.has_field()) {
    field_unit_ = r.field_unit;
    for (std::size_t axis = 0; axis < 3; ++axis) field_[axis].add(timed.time_s, r.field[axis]);
    total_.add(timed.time_s, std::hypot(r.field[0], r.field[1], r.field[2]));
  }
  add_finite(heading_, timed.time_s, r.heading_deg);
  add_finite(current_, timed.time_s, r.current_A);
  add_finite(roll_, timed.time_s, r.roll_deg);
  add_finite(pitch_, timed.time_s, r.pitch_deg);
}

double SourceHealth::rate_Hz(double now_s) const {
  const auto first = std::lower_bound(arrivals_.begin(), arrivals_.end(), now_s - kWindow_s);
  const auto count = static_cast<double>(arrivals_.end() - first);
  if (count < 2.0) return 0.0;
  // Until the window is full the intervals count, not the readings; later both are the same.
  const double span = std::max(now_s, arrivals_.back()) - *first;
  return span > 0.0 ? (count - 1.0) / span : 0.0;
}

double SourceHealth::field_stuck_s() const {
  double least = has_field() ? field_[0].same_for_s() : 0.0;
  for (const QuantityWatch& axis : field_) {
    least = std::min(least, axis.same_for_s());
    if (axis.same_readings() < kStuckReadings) return 0.0;
  }
  return least;
}

bool SourceHealth::takes_turns() const {
  return heading_.takes_turns() || total_.takes_turns() ||
         std::any_of(field_.begin(), field_.end(),
                     [](const QuantityWatch& axis) { return axis.takes_turns(); });
}

}  // namespace qn
