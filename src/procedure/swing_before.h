// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string>
#include <utility>
#include <vector>

#include "procedure/swing_solve.h"

namespace qn {

/// What happened to one compass, under one state of the loads, between two swings.
struct SwingChange {
  std::string name, loads;
  bool compared = false;
  std::string why_not;  ///< when not compared
  std::array<bool, 5> told{};
  SwingCoefficients before_deg{}, after_deg{}, change_deg{};
  /// North of the rose counted in both swings: with the same marks the change of A is known better.
  SwingCoefficients change_half_95_deg{};
  double worst_before_deg = 0.0, worst_after_deg = 0.0;
  std::pair<double, double> worst_before_95_deg{0.0, 0.0}, worst_after_95_deg{0.0, 0.0};
  VerdictState before = VerdictState::unproven, after = VerdictState::unproven;
  std::string sentence;
};

struct SwingComparison {
  std::vector<SwingChange> compasses;  ///< beside those of the later swing
  std::vector<std::string> gone;       ///< compasses that only the earlier swing has
  /// Whether each compass is inside its limit on every heading, under every state of its loads.
  std::vector<std::string> on_every_heading;
};

/// What an adjustment did, coefficient by coefficient.
SwingComparison compare_swings(const SwingSolution& before, const SwingSolution& after);

}  // namespace qn
