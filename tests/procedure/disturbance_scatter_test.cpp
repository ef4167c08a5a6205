// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>

#include "procedure/disturbance_scatter_internal.h"

using namespace qn;
using namespace qn::disturbance;

TEST_CASE("repeats as far apart as their sigmas have it widen nothing", "[procedure]") {
  const std::vector<Scatter> even(10, Scatter{6.0, 6.0});
  for (const double factor : further_variance(even)) CHECK(factor == Approx(1.0));
  const std::vector<Scatter> close(10, Scatter{1.0, 6.0});
  for (const double factor : further_variance(close)) CHECK(factor == 1.0);
  for (const double factor : further_variance({{0.0, 0.0}})) CHECK(factor == 1.0);
}

TEST_CASE("one state whose repeats scatter widens its own band most", "[procedure]") {
  std::vector<Scatter> states(9, Scatter{6.0, 6.0});
  states.push_back({36.0, 6.0});
  // The run: (30 + 54 + 24) / (30 + 60), the one held at four times its freedom; then the state:
  // (12 of that + 36) / (12 + 6).
  const double run = 108.0 / 90.0;
  const std::vector<double> factors = further_variance(states);
  CHECK(factors.back() == Approx((12.0 * run + 36.0) / 18.0));
  CHECK(factors.front() == Approx((12.0 * run + 6.0) / 18.0));
}

TEST_CASE("scatter is counted about the common size, over good visits alone", "[procedure]") {
  VisitSolution solution;
  solution.size_uT = {{1.1, 0, 0}, {0.9, 0, 0}, {5, 0, 0}};
  solution.sigma_uT.assign(3, Vector3{0.1, 0.1, 0.1});
  StateVisits state;
  state.visits = {0, 1, 2};
  state.reading.visits.resize(3);
  state.reading.visits[2].what = VisitReading::What::unknown;
  const Scatter scatter = scatter_of(solution, state, {1.0, 0.0, 0.0}, {1.0, 1.0, 1.0});
  CHECK(scatter.chi_square == Approx(2.0));
  CHECK(scatter.freedom == Approx(3.0));
  CHECK(scatter_of(solution, state, {1.0, 0.0, 0.0}, {4.0, 1.0, 1.0}).chi_square == Approx(0.5));
}
