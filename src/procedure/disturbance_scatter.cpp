// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "procedure/disturbance_scatter_internal.h"

namespace qn::disturbance {

Scatter scatter_of(const VisitSolution& solution, const StateVisits& state,
                   const Vector3& common_uT, const Vector3& inflation) {
  Scatter out;
  double visits = 0.0;
  for (std::size_t r = 0; r < state.visits.size(); ++r) {
    const bool good =
        state.reading.visits.empty() || state.reading.visits[r].what == VisitReading::What::good;
    if (!good) continue;
    visits += 1.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double sigma = solution.sigma_uT[state.visits[r]][axis];
      const double off = solution.size_uT[state.visits[r]][axis] - common_uT[axis];
      out.chi_square += off * off / std::max(sigma * sigma * inflation[axis], 1e-12);
    }
  }
  if (visits < 2.0) return {};
  out.freedom = 3.0 * (visits - 1.0);
  return out;
}

std::vector<double> further_variance(const std::vector<Scatter>& states) {
  constexpr double kOfState = 12.0, kOfRun = 30.0;
  double sum = kOfRun, freedom = kOfRun;
  for (const Scatter& s : states) {
    // One that is plainly something else says nothing about the others.
    sum += std::min(s.chi_square, 4.0 * s.freedom);
    freedom += s.freedom;
  }
  const double of_run = std::max(1.0, sum / freedom);
  std::vector<double> out;
  for (const Scatter& s : states) {
    out.push_back(std::max(1.0, (kOfState * of_run + s.chi_square) / (kOfState + s.freedom)));
  }
  return out;
}

}  // namespace qn::disturbance
