// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "procedure/run_state.h"
#include "procedure/swing_solve.h"

namespace qn {

/// One reading of a swing that is going on.
struct RunSwingReading {
  std::string visit;  ///< "120 cw", "120 cw on": what a correction names
  double station_deg = 0.0, indicated_deg = 0.0, deviation_deg = 0.0;
  bool used = true;       ///< false: left out as wrong
  bool doubtful = false;  ///< by itself, or one of several
};

/// One compass, as far as its readings say.
struct RunSwingCompass {
  std::string name, loads;
  std::vector<RunSwingReading> readings;
  bool solved = false;             ///< false: what follows is empty
  std::vector<SwingPoint> points;  ///< the curve with its band
  double worst_deg = 0.0, worst_at_deg = 0.0;
  std::pair<double, double> worst_95_deg{0.0, 0.0};
  std::optional<double> limit_deg;
  std::vector<std::string> doubts;  ///< in words
};

struct RunSwing {
  std::vector<RunSwingCompass> compasses;
};

std::string to_json(const RunSwing& swing);

/// Solves what was read so far, anew only when something was read.
class SwingTeller {
 public:
  explicit SwingTeller(SwingOptions options) : options_{std::move(options)} {}
  void tell(const run::State& state, std::optional<RunSwing>& swing);

 private:
  SwingOptions options_;
  std::optional<std::size_t> told_;  ///< readings heard when it was told last
};

}  // namespace qn
