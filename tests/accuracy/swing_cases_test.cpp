// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_cases.h"

#include <catch2/catch.hpp>

#include "accuracy/swing_bound.h"
#include "accuracy/swing_score.h"

using namespace qn;
using namespace qn::accuracy;

TEST_CASE("a rounded reading tells less than a fine one", "[accuracy][closed-form]") {
  // Fine rounding adds step^2/12; a step of 3 sigma still tells nearly that much (methods: "up to
  // q = 3 s like variance s^2 + q^2/12").
  CHECK(information_of_rounded(1.0, 0.0) == Approx(1.0));
  CHECK(information_of_rounded(1.0, 1.0) == Approx(12.0 / 13.0).epsilon(1e-3));
  CHECK(information_of_rounded(1.0, 2.0) == Approx(0.75).epsilon(0.02));
  // Steps far apart tell only near their edges: the integral of phi^2 / (Phi (1 - Phi)), 1.8063
  // (done numerically apart from this code), for each step.
  CHECK(information_of_rounded(1.0, 10.0) == Approx(0.18063).epsilon(0.01));
}

TEST_CASE("the bound of eight even headings is the textbook's", "[accuracy][closed-form]") {
  // var A = s^2/n, others 2 s^2/n; north 0.5 and half the lag, 0.25, stand in A.
  SwingTrial trial;
  trial.rounding_deg = 0.0;
  trial.reading_sigma_deg = trial.station_sigma_deg = 0.7;
  trial.truths.resize(1);
  for (int k = 0; k < 8; ++k) {
    SwingReading r;
    r.station_deg = 45.0 * k;
    r.compass = compass_name(0);
    r.turn = SwingTurn::clockwise;
    trial.readings.push_back(r);
  }
  const auto bound = swing_bound(trial, 0);
  const double s2 = 0.98;
  CHECK(bound[0] == Approx(std::sqrt(s2 / 8.0 + 0.25 + 0.0625)).epsilon(1e-4));
  for (std::size_t j = 1; j < 5; ++j) CHECK(bound[j] == Approx(std::sqrt(s2 / 4.0)).epsilon(1e-4));
}

TEST_CASE("blunders are planted as they are said", "[accuracy][synthetic]") {
  int marks = 0;
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    const SwingTrial trial = make_swing_trial("swing-compasses-gross", seed);
    REQUIRE(trial.blunder.planted);
    REQUIRE(trial.blunder.row < trial.readings.size());
    CHECK(std::fabs(trial.blunder.shift_deg) > 7.4);
    if (trial.blunder.of_mark) ++marks;
  }
  CHECK(marks > 50);
  CHECK_FALSE(make_swing_trial("swing-clean", 3).blunder.planted);
}

TEST_CASE("swing tables have their gates", "[accuracy][synthetic]") {
  const ParallelFor one = [](std::size_t count, const std::function<void(std::size_t)>& task) {
    for (std::size_t i = 0; i < count; ++i) task(i);
  };
  for (const std::string& name : swing_table_names()) {
    const CoverageTable table = run_swing_table(name, 50, 7, one);
    const std::string text = table.to_markdown(name, how_swing_drawn(name), 50);
    CHECK(text.find("Band of the largest deviation holds") != std::string::npos);
    CHECK(table.refusals() == 0);
    const bool gross = name == "swing-ten" || name.find("gross") != std::string::npos;
    CHECK((text.find("Named, 12 stations") != std::string::npos) == gross);
    CHECK((table.find("coefficient B, degrees") != nullptr) != gross);
  }
}
