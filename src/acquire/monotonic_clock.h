// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace qn {

/// Seconds since some moment, in whole microseconds (what a recording keeps). Never steps, whatever
/// is done to the computer's calendar clock.
class MonotonicClock {
 public:
  virtual ~MonotonicClock() = default;
  virtual double now_s() const = 0;
};

/// The computer's, from its construction on. Goes on while the computer sleeps, so that a lid
/// closed in the middle of a run is a gap of its true length.
class BootClock : public MonotonicClock {
 public:
  /// speed  seconds of this clock in one of the computer's; other than 1 only for simulated sensors
  explicit BootClock(double speed = 1.0);
  double now_s() const override;
  double speed() const { return speed_; }

 private:
  long long start_us_;
  double speed_;
};

}  // namespace qn
