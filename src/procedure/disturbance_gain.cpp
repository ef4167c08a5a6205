// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>

#include "procedure/disturbance_gain_internal.h"

namespace qn::disturbance {

AxisGain::AxisGain(const Problem& problem, const VisitSolution& solution, std::size_t axis)
    : filter_{solution.noise[axis], blocks_of_axis(solution, axis)},
      white_{solution.equations[axis].white()},
      single_{solution.single[axis]},
      weighted_{filter_.weighted(left_uT(problem, solution, solution.size_uT, axis))} {
  running_.assign(1, 0.0);
  for (const double w : weighted_) running_.push_back(running_.back() + w);
}

double AxisGain::gradient(const std::vector<double>& values, std::size_t begin) const {
  double sum = 0.0;
  for (std::size_t k = 0; k < values.size(); ++k) sum += values[k] * weighted_[begin + k];
  return sum;
}

double AxisGain::information(const BlockColumn& shape) const {
  const BlockColumn white = filter_.whiten(shape);
  return overlap(white, white);
}

AxisGain::Gain AxisGain::gain(const BlockColumn& shape) const {
  const BlockColumn white = filter_.whiten(shape);
  const double all = overlap(white, white);
  std::vector<std::pair<std::size_t, double>> shared;
  for (std::size_t c = 0; c < white_.size(); ++c) {
    const double o = overlap(white, white_[c]);
    if (o != 0.0) shared.push_back({c, o});
  }
  const double own = std::max(all - single_.taken(shared), 0.0);
  const double g = gradient(shape);
  return {own > 0.0 ? g * g / own : 0.0, own / std::max(all, 1e-300)};
}

}  // namespace qn::disturbance
