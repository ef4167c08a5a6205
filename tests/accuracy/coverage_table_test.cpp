// SPDX-License-Identifier: Apache-2.0
#include "accuracy/coverage_table.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace qn::accuracy;

static const double kNone = std::numeric_limits<double>::quiet_NaN();

TEST_CASE("coverage counts both tails, widths and the ratio", "[accuracy][closed-form]") {
  Coverage c;
  c.add({"q", 0.0, -1.0, 1.0, 3.0, 1.0});       // held; error 3 bounds
  c.add({"q", 0.0, 0.5, 1.5, 4.0, 1.0});        // truth below
  c.add({"q", 0.0, -3.0, -1.0, kNone, kNone});  // truth above, no bound
  c.add({"q", 0.0, 0.0, 0.0, kNone, kNone});    // on the edge counts as held
  CHECK(c.cases == 4);
  CHECK(c.below == 1);
  CHECK(c.above == 1);
  CHECK(c.share() == 0.5);
  CHECK(c.mean_width() == 1.25);                                // (2 + 1 + 2 + 0) / 4
  CHECK(c.rms_over_bound() == Approx(std::sqrt(12.5)));         // sqrt((9 + 16) / (1 + 1))
  CHECK(c.case_by_case() == Approx(std::sqrt(12.5)));           // the same: the bounds are alike
  c.add({"q", 0.0, -1.0, 1.0, 3.0, 3.0});                       // a case with a wide bound
  CHECK(c.rms_over_bound() == Approx(std::sqrt(34.0 / 11.0)));  // (9 + 16 + 9) / (1 + 1 + 9)
  CHECK(c.case_by_case() == Approx(std::sqrt(26.0 / 3.0)));     // (9 + 16 + 1) / 3
  c.add({"q", 0.0, -1.0, 1.0, 50.0, 1.0, true});                // carried: in the first ratio only
  CHECK(c.rms_over_bound() == Approx(std::sqrt(2534.0 / 12.0)));
  CHECK(c.case_by_case() == Approx(std::sqrt(26.0 / 3.0)));
  CHECK_FALSE(c.ratio_holds());
}

TEST_CASE("a band that is not a number is a miss", "[accuracy][closed-form]") {
  Coverage c;
  c.add({"q", 0.0, kNone, kNone, 0.0, 1.0});
  CHECK(c.share() == 0.0);
}

TEST_CASE("gates: 93 to 97 from 2000 cases on, three standard errors below",
          "[accuracy][closed-form]") {
  // 300 cases: one standard error sqrt(0.95 * 0.05 / 300) = 1.2583 %, so 91.225 to 98.775 %.
  Coverage few;
  few.cases = 300;
  CHECK(few.lowest_allowed() == Approx(0.91225).margin(1e-5));
  few.below = 26;  // 91.33 %
  CHECK(few.coverage_holds());
  few.below = 27;  // 91.00 %
  CHECK_FALSE(few.coverage_holds());
  few.below = 3;  // 99 %: too wide is a fault, too
  CHECK_FALSE(few.coverage_holds());
  Coverage many;
  many.cases = 2000;
  many.below = 140;  // 93.0 %
  CHECK(many.coverage_holds());
  many.below = 141;
  CHECK_FALSE(many.coverage_holds());
}

TEST_CASE("each of the two ratios can fail a row by itself", "[accuracy][closed-form]") {
  Coverage c;
  for (int i = 0; i < 1000; ++i) c.add({"q", 0.0, -1.0, 1.0, 1.2, 1.0, false});
  CHECK_FALSE(c.ratio_holds());  // 1.2 either way
  c.add({"q", 0.0, -1.0, 1.0, 1.0, 100.0, false});
  CHECK(c.rms_over_bound() < 0.4);  // sqrt(1441 / 11000): the wide case drowns the others
  CHECK_FALSE(c.ratio_holds());     // case by case sqrt(1440.0001 / 1001) = 1.199
  Coverage carried;
  for (int i = 0; i < 1000; ++i) carried.add({"q", 0.0, -1.0, 1.0, 1.2, 1.0, true});
  CHECK_FALSE(carried.ratio_holds());
}

TEST_CASE("a ratio of few cases is allowed three of its own sd", "[accuracy][closed-form]") {
  Coverage c;
  for (int i = 0; i < 100; ++i) c.add({"q", 0.0, -1.0, 1.0, 1.2, 1.0, false});
  // Equal bounds: sd = 1 / sqrt(200) = 0.0707 for both, so 1.212 is allowed.
  CHECK(c.largest_rms_ratio() == Approx(1.0 + 3.0 / std::sqrt(200.0)));
  CHECK(c.largest_case_ratio() == Approx(1.0 + 3.0 / std::sqrt(200.0)));
  CHECK(c.ratio_holds());
}

TEST_CASE("refusals are counted and a table without rows does not hold", "[accuracy][synthetic]") {
  CoverageTable table;
  CHECK_FALSE(table.holds());
  table.add_refusal("nothing turned");
  table.add_refusal("nothing turned");
  CHECK(table.refusals() == 2);
  CHECK(table.to_markdown("t", "h", 2).find("- 2: nothing turned") != std::string::npos);
}
