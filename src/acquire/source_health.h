// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>

#include "acquire/quantity_watch.h"
#include "acquire/stream_timer.h"

namespace qn {

/// How one source of a link is doing: what `link watch` shows. Bounded memory.
class SourceHealth {
 public:
  static constexpr double kWindow_s = 10.0;

  void add(const TimedReading& timed);

  std::uint64_t readings() const { return readings_; }
  double last_arrival_s() const { return last_arrival_s_; }
  /// Readings a second over the last kWindow_s before `now_s`, or since the first.
  double rate_Hz(double now_s) const;
  /// Pauses longer than five times the median interval (and 50 ms); the one under way not counted.
  std::uint64_t gaps() const { return gaps_; }
  double longest_gap_s() const { return longest_gap_s_; }

  bool has_field() const { return field_[0].any(); }
  FieldUnit field_unit() const { return field_unit_; }
  const std::array<QuantityWatch, 3>& field() const { return field_; }
  const QuantityWatch& total() const { return total_; }  ///< length of the field
  const QuantityWatch& heading() const { return heading_; }
  const QuantityWatch& current() const { return current_; }
  const QuantityWatch& roll() const { return roll_; }
  const QuantityWatch& pitch() const { return pitch_; }

  /// All three axes have not moved for so long; 0 when fewer than 20 readings came in that time.
  double field_stuck_s() const;
  bool takes_turns() const;

 private:
  void count_gap(double time_s);

  std::uint64_t readings_ = 0;
  double last_arrival_s_ = 0.0;
  double last_time_s_ = 0.0;
  std::deque<double> arrivals_;
  std::deque<double> intervals_;
  std::uint64_t gaps_ = 0;
  double longest_gap_s_ = 0.0;
  FieldUnit field_unit_ = FieldUnit::microtesla;
  std::array<QuantityWatch, 3> field_;
  QuantityWatch total_, current_, roll_, pitch_;
  QuantityWatch heading_{true};
};

}  // namespace qn
