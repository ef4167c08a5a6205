// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>

#include "procedure/swing_maker.h"

using namespace qn;
using namespace qn::test;

TEST_CASE("bands of 1000 swings of each kind hold", "[procedure][synthetic][long]") {
  const SwingCase cases[] = {
      {}, {.stations = 12}, {.both_turns = true}, {.stations = 24}, {.rounding_deg = 5.0}};
  for (const SwingCase& c : cases) {
    SwingTally tally;
    for (std::uint64_t s = 0; s < 1000; ++s) {
      const MadeSwing made = make_swing(c, 900000 + s);
      SwingOptions options;
      options.rounding_deg = c.rounding_deg;
      const auto solved = solve_swing(made.readings, options);
      REQUIRE(solved.has_value());
      count(tally, made, solved.value().compasses[0]);
    }
    INFO(c.stations << " stations, rounded to " << c.rounding_deg);
    // 1000 swings: a share of 0.95 has a standard deviation of 0.007.
    CHECK(tally.coefficient_share() > 0.93);
    CHECK(tally.coefficient_share() < 0.985);
    CHECK(tally.share(tally.worst_held) > 0.93);
    CHECK(tally.share(tally.worst_held) < 0.99);
    CHECK(tally.share(tally.named) <= 0.02);
  }
}
