// SPDX-License-Identifier: Apache-2.0
#include "app/live_trace.h"

#include <algorithm>

namespace qn {

bool TraceKeeper::add(double time_s, const Vector3& field_uT) {
  bool finished = false;
  if (count_ > 0 && time_s - from_s_ >= kPoint_s) {
    Point point{from_s_ + 0.5 * std::min(kPoint_s, to_s_ - from_s_), sum_};
    for (double& component : point.field_uT) component /= static_cast<double>(count_);
    points_.push_back(point);
    while (!points_.empty() && points_.front().time_s < time_s - kKept_s) points_.pop_front();
    count_ = 0;
    finished = true;
  }
  if (count_ == 0) {
    from_s_ = time_s;
    sum_ = {};
  }
  for (std::size_t axis = 0; axis < 3; ++axis) sum_[axis] += field_uT[axis];
  ++count_;
  to_s_ = time_s;
  return finished;
}

LiveTrace TraceKeeper::last(double seconds) const {
  LiveTrace trace;
  trace.to_s = to_s_;
  for (const Point& point : points_) {
    if (point.time_s < to_s_ - seconds) continue;
    trace.time_s.push_back(point.time_s);
    trace.field_uT.push_back(point.field_uT);
  }
  return trace;
}

}  // namespace qn
