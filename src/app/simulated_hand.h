// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "app/live_run.h"
#include "app/simulated_bench.h"

namespace qn {

struct HandOptions {
  double speed = 1.0;    ///< of the bench and the run
  bool answers = false;  ///< false: it only throws the switches, and somebody else answers
  std::uint64_t seed = 1;
};

/// Somebody at the switches of a made-up aircraft: throws each a few seconds after it was asked
/// for, and pulls the sensor's cable once. When it answers as well, it makes the mistakes that
/// people make: it is late, now and then very late or silent until it is asked, and has no such
/// device.
class SimulatedHand {
 public:
  /// Both must outlive it. The switches are first put where the run's marks say that they are.
  SimulatedHand(LiveRun& run, SimulatedBench& bench, const HandOptions& options);
  ~SimulatedHand();
  SimulatedHand(const SimulatedHand&) = delete;
  SimulatedHand& operator=(const SimulatedHand&) = delete;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace qn
