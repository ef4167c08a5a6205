// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_plan.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "procedure/swing_interval_internal.h"
#include "swing_maker.h"

using namespace qn;
using namespace qn::test;

namespace {

const SwingChoice& chosen_of(const SwingPlan& plan) {
  for (const SwingChoice& c : plan.choices) {
    if (c.chosen) return c;
  }
  FAIL("no choice is the chosen one");
  return plan.choices.front();
}

SwingPlan planned(const SwingPlanOptions& options) {
  const auto plan = plan_swing(options);
  REQUIRE(plan.has_value());
  return plan.value();
}

}  // namespace

TEST_CASE("what a rounded reading tells", "[procedure][closed-form]") {
  // Without rounding 1/s^2; with a step below 3 s the variances add (Sheppard), to 1 %; far beyond,
  // only readings near the edge of a step tell anything, and the average falls as 1/(s q):
  // 1.8063/(s q), the integral of phi^2/(Phi (1 - Phi)).
  CHECK(rounded_information(0.7, 0.0) == Approx(1.0 / 0.49));
  CHECK(rounded_information(1.0, 1.0) == Approx(1.0 / (1.0 + 1.0 / 12.0)).epsilon(0.01));
  double integral = 0.0;
  for (double x = -8.0; x < 8.0; x += 0.001) {
    const double phi = std::exp(-0.5 * x * x) / std::sqrt(2.0 * 3.14159265358979);
    const double below = 0.5 * std::erfc(-x / std::sqrt(2.0));
    integral += 0.001 * phi * phi / (below * (1.0 - below));
  }
  // 40 places within a step stand for all of them: 2 % where the edge is sharp.
  CHECK(rounded_information(0.1, 1.0) == Approx(integral / 0.1).epsilon(0.02));
}

TEST_CASE("with fine readings the bands are those of equal headings", "[procedure][closed-form]") {
  // n equal headings of scatter s: var A = s^2/n, B to E 2 s^2/n (docs/math/swing.md). The compass
  // planned for turns up to 5 % faster or slower than the aircraft, hence the tolerance. With both
  // sigmas given the noise counts like 10 readings: Student with 10 + 24 - 5 = 29 degrees, 2.0452
  // (from memory of the printed tables).
  SwingPlanOptions options;
  options.stations = 24;
  options.both_turns = false;
  options.swing.rounding_deg = 0.0;
  options.swing.reading_sigma_deg = 1.0;
  options.swing.station_sigma_deg = 0.001;
  options.swing.north_sigma_deg = 0.001;
  options.swing.hysteresis_sigma_deg = 0.001;
  const SwingPlan plan = planned(options);
  const SwingChoice& c = chosen_of(plan);
  CHECK(c.half_95_deg[0] == Approx(2.0452 / std::sqrt(24.0)).epsilon(0.03));
  for (std::size_t j = 1; j < 5; ++j) {
    CHECK(c.half_95_deg[j] == Approx(2.0452 * std::sqrt(2.0 / 24.0)).epsilon(0.06));
  }
}

TEST_CASE("the bands promised are the bands that the solution gives", "[procedure][synthetic]") {
  struct Way {
    int stations;
    bool both;
    double step;
  };
  for (const auto& [stations, both, step] :
       {Way{8, false, 1.0}, Way{12, true, 1.0}, Way{8, true, 0.1}, Way{12, false, 2.0}}) {
    SwingPlanOptions options;
    options.stations = stations;
    options.both_turns = both;
    options.swing.rounding_deg = step;
    const SwingPlan plan = planned(options);
    SwingCase c;
    c.stations = static_cast<std::size_t>(stations);
    c.both_turns = both;
    c.rounding_deg = step;
    SwingOptions solve;
    solve.rounding_deg = step;
    std::array<double, 5> mean{};
    constexpr int kSwings = 12;
    for (int n = 0; n < kSwings; ++n) {
      const MadeSwing made = make_swing(c, 900U + static_cast<unsigned>(n));
      const auto solved = solve_swing(made.readings, solve);
      REQUIRE(solved.has_value());
      for (std::size_t j = 0; j < 5; ++j) {
        const auto [lo, hi] = solved.value().compasses[0].band_95_deg[j];
        mean[j] += 0.5 * (hi - lo) / kSwings;
      }
    }
    for (std::size_t j = 0; j < 5; ++j) {
      INFO(stations << (both ? " both " : " once ") << step << " "
                    << "ABCDE"[j]);
      // The size of the noise found in one swing varies by a fifth; a dozen average that to a
      // sixteenth, and readings doubted now and then widen some of them.
      CHECK(chosen_of(plan).half_95_deg[j] == Approx(mean[j]).epsilon(0.22));
    }
  }
}

TEST_CASE("the stops go once around each way and say when to turn back", "[procedure][synthetic]") {
  for (const int stations : {8, 12, 16, 24}) {
    SwingPlanOptions options;
    options.stations = stations;
    const SwingPlan plan = planned(options);
    REQUIRE(plan.stops.size() == static_cast<std::size_t>(2 * stations));
    CHECK(plan.choices.size() == 8);
    for (const SwingTurn turn : {SwingTurn::clockwise, SwingTurn::counterclockwise}) {
      std::set<double> marks;
      for (const SwingStop& s : plan.stops) {
        if (s.turn == turn) marks.insert(s.station_deg);
      }
      CHECK(marks.size() == static_cast<std::size_t>(stations));
      CHECK(*marks.begin() == 0.0);
    }
    CHECK(plan.stops[0].note.find("within 5 deg of north") != std::string::npos);
    CHECK(plan.stops[static_cast<std::size_t>(stations)].note.find("past north") !=
          std::string::npos);
    CHECK(plan.sentence.find("both ways") != std::string::npos);
  }
}

TEST_CASE("both ways tell more than once, and more marks more than fewer",
          "[procedure][synthetic]") {
  const SwingPlan plan = planned({});
  for (std::size_t k = 2; k < plan.choices.size(); ++k) {
    for (std::size_t j = 1; j < 5; ++j) {
      CHECK(plan.choices[k].half_95_deg[j] < plan.choices[k - 2].half_95_deg[j]);
    }
  }
  CHECK(plan.choices[1].half_95_deg[1] < plan.choices[0].half_95_deg[1]);
}

TEST_CASE("each state of the loads takes its hold on each mark", "[procedure][closed-form]") {
  SwingPlanOptions one;
  one.loads = {"off"};
  const auto chosen = [](const SwingPlan& plan) {
    for (const SwingChoice& c : plan.choices) {
      if (c.chosen) return c.minutes;
    }
    return 0.0;
  };
  // 24 stops of 60 s to move and 30 s to hold, once for each state.
  CHECK(chosen(plan_swing(one).value()) == Approx(36.0));
  CHECK(chosen(plan_swing({}).value()) == Approx(48.0));
  one.loads.clear();
  const auto none = plan_swing(one);
  REQUIRE_FALSE(none.has_value());
  CHECK(none.error().where == "option --loads");
}

TEST_CASE("a plan that cannot be says which option", "[procedure][synthetic]") {
  SwingPlanOptions options;
  options.stations = 7;
  const auto refused = plan_swing(options);
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().where == "option --stations");
  options = {};
  options.first_heading_tolerance_deg = -1.0;
  REQUIRE_FALSE(plan_swing(options).has_value());
  options = {};
  options.swing.reading_sigma_deg = 0.0;
  REQUIRE_FALSE(plan_swing(options).has_value());
}
