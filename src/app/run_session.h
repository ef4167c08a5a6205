// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/live_run.h"
#include "app/simulated_bench.h"
#include "app/simulated_hand.h"
#include "app/simulated_reader.h"

namespace qn {

/// A made-up aircraft in place of links.
struct RehearsalRequest {
  std::uint64_t seed = 1;
  double speed = 1.0;
  bool answers = false;  ///< the made-up hand also answers
  std::vector<std::string> absent;
};

struct RunSessionRequest {
  LiveRunRequest run;
  std::optional<RehearsalRequest> rehearsal;  ///< then `run` names no links
};

/// A live run with what belongs to it: in a rehearsal also the aircraft and the hand.
class RunSession {
 public:
  /// errors  those of LiveRun and SimulatedBench; OutOfRange: links and a rehearsal
  static Result<std::unique_ptr<RunSession>> open(RunSessionRequest request);

  LiveRun& live() { return *live_; }
  bool rehearsal() const { return bench_ != nullptr || reader_ != nullptr; }
  /// The answer beside the truth, line by line; empty unless it was a rehearsal that is answered.
  std::string truth_text() const;

 private:
  RunSession() = default;
  Result<Done> make_bench(RunSessionRequest& request);
  std::unique_ptr<SimulatedBench> bench_;
  std::unique_ptr<LiveRun> live_;
  std::unique_ptr<SimulatedHand> hand_;      // last: it uses both
  std::unique_ptr<SimulatedReader> reader_;  // of a swing, which needs no bench
};

}  // namespace qn
