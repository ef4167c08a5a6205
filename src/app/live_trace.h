// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <deque>

#include "app/run_view.h"

namespace qn {

/// The field of the last two minutes, tenth of a second by tenth of a second, in constant space.
class TraceKeeper {
 public:
  static constexpr double kKept_s = 120.0;
  static constexpr double kPoint_s = 0.1;

  /// returns  whether a point was finished
  bool add(double time_s, const Vector3& field_uT);
  /// The points of the last seconds, oldest first.
  LiveTrace last(double seconds) const;

 private:
  struct Point {
    double time_s = 0.0;
    Vector3 field_uT{};
  };
  std::deque<Point> points_;
  double to_s_ = 0.0;
  double from_s_ = 0.0;
  Vector3 sum_{};
  std::size_t count_ = 0;
};

}  // namespace qn
