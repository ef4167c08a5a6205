// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "estimation/joint_effects.h"
#include "procedure/disturbance_solve_internal.h"

namespace qn::disturbance {

/// One axis of a solution, which must outlive it: what a further column would gain, with all others
/// free.
class AxisGain {
 public:
  AxisGain(const Problem& problem, const VisitSolution& solution, std::size_t axis);

  /// Of the log likelihood, by the size of the shape; and of a step that stays, from block `at` on.
  double gradient(const BlockColumn& shape) const { return gradient(shape.values, shape.begin); }
  double gradient(const std::vector<double>& values, std::size_t begin) const;
  double gradient_of_step(std::size_t at) const { return running_.back() - running_[at]; }

  /// Of the shape if it were the only column.
  double information(const BlockColumn& shape) const;

  struct Gain {
    double square = 0.0;     ///< of the shape's size over its sigma
    double own_share = 0.0;  ///< of the shape's information that the other columns leave to it
  };
  Gain gain(const BlockColumn& shape) const;

 private:
  DriftFilter filter_;
  const std::vector<BlockColumn>& white_;
  const SingleEffects& single_;
  std::vector<double> weighted_, running_;
};

}  // namespace qn::disturbance
