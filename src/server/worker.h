// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>

#include "vocab/time.h"

namespace qn {

/// One thread that does one thing after the other.
class Worker {
 public:
  Worker();
  ~Worker();  ///< as end_within a moment
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;

  /// Tasks must own what they use: the one at work may outlive this object, see end_within.
  void post(std::function<void()> task);

  /// What waits is dropped; the task at work is given `time` to end by itself. If it does not, its
  /// thread is left alone, as no thread can be ended from outside.
  void end_within(Duration time);

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace qn
