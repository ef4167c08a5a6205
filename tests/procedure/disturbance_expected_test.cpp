// SPDX-License-Identifier: Apache-2.0
// What the repeats of a state foretell of one another.
#include <catch2/catch.hpp>

#include "procedure/disturbance_effects_internal.h"

using namespace qn;
using namespace qn::disturbance;

namespace {

/// One device, two visits, each seen as `size_uT` give or take `sigma_uT` an axis.
std::vector<ExpectedJump> foretold_by(const Vector3& size_uT, double sigma_uT) {
  MarkedRun run;
  Item lamp;
  lamp.device.name = "lamp";
  lamp.device.states = {"off", "on"};
  run.items.push_back(lamp);
  for (std::size_t v = 0; v < 2; ++v) {
    const double on_s = 100.0 * static_cast<double>(v + 1);
    run.switches.push_back({0, 0, 1, on_s, 2 * v});
    run.switches.push_back({0, 1, 0, on_s + 20.0, 2 * v + 1});
    run.visits.push_back({0, 1, 2 * v, 2 * v + 1});
  }
  VisitSolution seen;
  seen.size_uT.assign(2, size_uT);
  seen.sigma_uT.assign(2, {sigma_uT, sigma_uT, sigma_uT});
  return expected_jumps(run, seen, states_worked(run));
}

}  // namespace

TEST_CASE("a repeat that is plainly there foretells the other", "[procedure][disturbance]") {
  const auto jumps = foretold_by({1.0, -0.5, 0.2}, 0.05);
  REQUIRE(jumps[2].from_others_uT);
  CHECK((*jumps[2].from_others_uT)[0] == Approx(1.0));
  REQUIRE(jumps[3].from_others_uT);  // off again
  CHECK((*jumps[3].from_others_uT)[1] == Approx(0.5));
}

// Else the moment of each would be chosen so that it shows the other's noise, and what does nothing
// would come to stand beyond its band.
TEST_CASE("a repeat that is not beyond chance foretells nothing", "[procedure][disturbance]") {
  for (const ExpectedJump& jump : foretold_by({0.1, -0.05, 0.0}, 0.05)) {
    CHECK_FALSE(jump.from_others_uT);
    CHECK(jump.best_uT != Vector3{});
  }
}
