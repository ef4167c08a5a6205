// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "app/live_run.h"

namespace qn {

/// Somebody who pushes a made-up aircraft from mark to mark, reads its compasses and answers; once,
/// one is misread by ten degrees. Asked again, the eye looks better.
class SimulatedReader {
 public:
  /// run    outlives it
  /// speed  of the run's clock
  SimulatedReader(LiveRun& run, std::uint64_t seed, double speed);
  ~SimulatedReader();
  SimulatedReader(const SimulatedReader&) = delete;
  SimulatedReader& operator=(const SimulatedReader&) = delete;

  /// Truth, degrees; with the loads off, or on.
  double worst_deviation_deg(const std::string& compass, bool loads_on) const;
  /// What was misread: "standby on 225: 217 said, 227 shown"; empty: nothing was yet.
  std::string misreading() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace qn
