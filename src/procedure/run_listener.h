// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "procedure/run_event.h"
#include "procedure/run_state.h"
#include "vocab/angle.h"
#include "vocab/field_vector.h"

namespace qn::run {

/// The mean of one second of samples.
struct Block {
  double from_s = 0.0;
  Vector3 mean_uT{};
};

/// The last minutes, second by second.
class Blocks {
 public:
  static constexpr std::size_t kKept = 256;
  void add(const Block& block) { ring_[next_++ % kKept] = block; }
  void clear() { next_ = 0; }
  std::size_t size() const { return next_ < kKept ? next_ : kKept; }
  /// 0: the latest.
  const Block& back(std::size_t ago) const { return ring_[(next_ - 1 - ago) % kKept]; }

  struct Stretch {
    double seconds = 0.0;
    Vector3 mean_uT{};
  };
  /// Of the whole blocks within [from_s, to_s].
  Stretch between(double from_s, double to_s) const;

 private:
  std::array<Block, kKept> ring_{};
  std::size_t next_ = 0;
};

/// White noise and drift of a sensor at rest, from differences of block means, in constant space:
/// E d(k)^2 = 2 R + q (k - 1/3), k seconds apart. Old ones fade; what was assumed before the run
/// counts as the first ten. Drift is never taken for smaller than assumed, and for larger only when
/// the differences say so clearly.
class RunningNoise {
 public:
  RunningNoise(double R_uT2_s, double q_uT2_per_s);
  /// quiet_s  how long nothing was switched
  void take(const Blocks& blocks, double quiet_s);
  double R_uT2_s() const { return R_; }
  double q_uT2_per_s() const { return q_; }
  bool settled() const { return near_weight_ > 40.0; }

 private:
  void solve();
  static constexpr std::size_t kNear = 2, kFar = 8;
  double assumed_q_;
  double R_, q_;
  double near_weight_ = 10.0, far_weight_ = 10.0;
  std::array<double, 3> near_{}, far_{};  ///< weighted sums of squares
};

/// 95 % half-width that the aim will have when the visits still to come are as long as this one has
/// been. From times and noise alone: no value of the field goes in.
Angle expected_half_width(const State& state, std::size_t aim, double held_s, double rest_s,
                          double R_uT2_s, double q_uT2_per_s);

/// Listens to the sensor, and says what the state cannot know by itself. Constant cost a sample.
class Listener {
 public:
  /// state  from where to go on: its noise is taken over
  explicit Listener(const State& state);

  /// The events that this sample leads to: to be journaled and applied before the next sample.
  /// time_s     increasing; a sample that is not is left out
  /// field_uT   any axes that keep still
  std::vector<Event> take(double time_s, const Vector3& field_uT, const State& state);
  /// The same for time that passes without samples: limits of devices are kept all the same.
  std::vector<Event> time_is(double time_s, const State& state);

  double R_uT2_s() const { return noise_.R_uT2_s(); }
  double q_uT2_per_s() const { return noise_.q_uT2_per_s(); }

 private:
  void close_block(const State& state, std::vector<Event>& events);
  void look_for_step(const State& state, std::vector<Event>& events);
  bool expected_change(const State& state, double at_s) const;
  void judge_visit(const State& state, std::vector<Event>& events) const;
  void judge_drift(const State& state, std::vector<Event>& events) const;
  std::optional<HeldWhy> held(const State& state) const;
  Event heard(EventKind kind) const;

  Blocks blocks_;
  RunningNoise noise_;
  double now_s_ = 0.0;
  bool any_ = false;
  double block_from_s_ = 0.0;
  Vector3 sum_{};
  std::size_t count_ = 0;
  std::size_t since_crossing_ = 0;  ///< blocks; 0: nothing has been crossed
  double silent_until_s_ = 0.0;     ///< a step just told
  double unsettled_until_s_ = 0.0;  ///< the field moved, marked or not
};

}  // namespace qn::run
