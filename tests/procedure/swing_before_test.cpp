// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_before.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "swing_adjust_maker.h"

using namespace qn;
using namespace qn::test;

namespace {

SwingSolution swing_of(const std::array<double, 5>& truth, const std::string& name,
                       const std::vector<std::string>& loads) {
  std::vector<SwingReading> readings;
  const ScrewedCompass compass{truth};
  for (const std::string& state : loads) {
    for (int mark = 0; mark < 360; mark += 30) {
      SwingReading r = plain_reading(mark, std::round(compass.reads(mark)), readings.size());
      r.indicated_deg = std::fmod(r.indicated_deg, 360.0);
      r.compass = name;
      r.loads = state;
      readings.push_back(r);
    }
  }
  const auto solved = solve_swing(readings, {});
  REQUIRE(solved.has_value());
  return solved.value();
}

}  // namespace

TEST_CASE("before and after, coefficient by coefficient", "[procedure][synthetic]") {
  const auto before = swing_of({0.5, 9.0, -7.0, 0.5, 0.0}, "standby", {""});
  const auto after = swing_of({0.5, 0.5, -0.5, 0.5, 0.0}, "Standby", {"off", "on"});
  const SwingComparison c = compare_swings(before, after);
  REQUIRE(c.compasses.size() == 2);
  const SwingChange& off = c.compasses[0];
  REQUIRE(off.compared);
  // Readings rounded to a degree: a few tenths in B and C of twelve each.
  CHECK(off.change_deg[1] == Approx(-8.5).margin(0.5));
  CHECK(off.change_deg[2] == Approx(6.5).margin(0.5));
  CHECK(std::fabs(off.change_deg[3]) < off.change_half_95_deg[3]);
  CHECK(off.sentence.find("B from +9") != std::string::npos);
  CHECK(off.sentence.find("D from") == std::string::npos);
  CHECK(off.worst_before_deg > 10.0);
  CHECK(off.worst_after_deg < 3.0);
  CHECK(off.after == VerdictState::within);
  CHECK_FALSE(c.compasses[1].compared);  // with loads on it was not read before
  REQUIRE(c.on_every_heading.size() == 1);
  CHECK(c.on_every_heading[0].find("inside 10 deg on every heading (loads off, loads on)") !=
        std::string::npos);
  CHECK(c.gone.empty());
}

TEST_CASE("what is missing or not proven is said", "[procedure][synthetic]") {
  const auto before = swing_of({0.0, 3.0, 0.0, 0.0, 0.0}, "remote", {""});
  const auto after = swing_of({0.0, 12.0, 0.0, 0.0, 0.0}, "standby", {"off"});
  const SwingComparison c = compare_swings(before, after);
  REQUIRE(c.gone.size() == 1);
  CHECK(c.gone[0] == "remote");
  CHECK(c.compasses[0].why_not.find("no such compass") != std::string::npos);
  CHECK(c.on_every_heading[0].find("not proven inside") != std::string::npos);
  CHECK(c.on_every_heading[0].find("With loads on it was not read") != std::string::npos);
}
