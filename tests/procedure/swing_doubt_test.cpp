// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <string>

#include "procedure/swing_maker.h"

using namespace qn;
using namespace qn::test;

namespace {

constexpr SwingCase kBoth{.stations = 12, .both_turns = true};

SwingCompass solved(const std::vector<SwingReading>& readings, const SwingOptions& options = {}) {
  const auto out = solve_swing(readings, options);
  REQUIRE(out.has_value());
  return out.value().compasses[0];
}

bool says(const std::vector<std::string>& remarks, const std::string& words) {
  for (const std::string& r : remarks) {
    if (r.find(words) != std::string::npos) return true;
  }
  return false;
}

/// Row 4 (station 120) is made wrong; whatever is named must be that row.
std::string cause_when(double wrong_deg) {
  MadeSwing made = make_swing(kBoth, 7);
  made.readings[4].indicated_deg = rounded(wrong_deg, 1.0);
  const SwingCompass c = solved(made.readings);
  REQUIRE(c.gross.size() == 1);
  CHECK(c.gross[0].row == 4);
  return c.gross[0].likely;
}

}  // namespace

TEST_CASE("a wrong reading is named with its likely cause", "[procedure][synthetic]") {
  const double right = make_swing(kBoth, 7).readings[4].indicated_deg;
  CHECK(cause_when(right + 10.0) == "misread by 10");
  CHECK(cause_when(right - 10.0) == "misread by 10");
  CHECK(cause_when(right + 180.0) == "reciprocal");
  const int r = static_cast<int>(right);
  const int swapped = r / 10 % 10 * 100 + r / 100 * 10 + r % 10;
  REQUIRE(std::abs(swapped - r) > 12);
  CHECK(cause_when(swapped) == "digits swapped");
  CHECK(cause_when(right + 77.0) == "no pattern");
}

TEST_CASE("a second compass tells another mark from a misreading", "[procedure][synthetic]") {
  for (const bool mark : {true, false}) {
    const MadeSwing one = make_swing(kBoth, 7);
    MadeSwing two = make_swing(kBoth, 8);
    std::vector<SwingReading> all = one.readings;
    for (SwingReading& r : two.readings) {
      r.compass = "remote";
      r.row += 100;
      all.push_back(r);
    }
    const auto next = [&](const MadeSwing& made, std::size_t k) {
      return made.readings[k + 1].indicated_deg;
    };
    all[4].indicated_deg = next(one, 4);
    if (mark) all[24 + 4].indicated_deg = next(two, 4);
    const auto out = solve_swing(all, {});
    REQUIRE(out.has_value());
    REQUIRE(out.value().compasses[0].gross.size() == 1);
    const std::string likely = out.value().compasses[0].gross[0].likely;
    CHECK((likely == "other station") == mark);
  }
}

TEST_CASE("what cannot be told is said", "[procedure][closed-form]") {
  MadeSwing made = make_swing({.stations = 4}, 3);
  const SwingCompass four = solved(made.readings);
  CHECK(four.supported == std::array<bool, 5>{true, true, true, false, true});  // sin 2z is 0
  CHECK(says(four.remarks, "cannot tell D"));
  made = make_swing({.stations = 3}, 3);
  const SwingCompass three = solved(made.readings);
  CHECK(three.supported[0]);
  CHECK_FALSE(three.supported[3]);
  CHECK_FALSE(three.supported[4]);
  made.readings.pop_back();
  const SwingCompass two = solved(made.readings);
  CHECK_FALSE(two.solved);
  CHECK(two.verdict.because.find("2 headings") != std::string::npos);
}

TEST_CASE("a compass that does not move is said to stand still", "[procedure][closed-form]") {
  MadeSwing made = make_swing({}, 3);
  for (SwingReading& r : made.readings) r.indicated_deg = 359.0;
  const SwingCompass c = solved(made.readings);
  CHECK_FALSE(c.solved);
  CHECK(c.verdict.because.find("does not move") != std::string::npos);
  CHECK(c.verdict.state == VerdictState::unproven);
}

TEST_CASE("readings that contradict each other are named", "[procedure][synthetic]") {
  MadeSwing made = make_swing({}, 3);
  SwingReading again = made.readings[2];
  again.indicated_deg = rounded(again.indicated_deg + 9.0, 1.0);
  again.row = 8;
  made.readings.push_back(again);
  CHECK(says(solved(made.readings).remarks, "Rows 3 and 9 contradict each other"));
}

TEST_CASE("the wrong north is noticed and asked, nothing is changed", "[procedure][synthetic]") {
  const MadeSwing made = make_swing({.hysteresis_sigma_deg = 0.1, .size = 0.3}, 11);
  std::vector<SwingReading> off = made.readings;
  for (SwingReading& r : off) r.indicated_deg = rounded(r.indicated_deg + 13.0, 1.0);
  SwingOptions options;
  options.variation_deg = 13.0;
  const SwingCompass c = solved(off, options);
  CHECK(says(c.remarks, "were the readings true"));
  CHECK(c.curve.coefficients_deg[0] < -10.0);
  CHECK_FALSE(says(solved(made.readings, options).remarks, "true and not magnetic"));
}

TEST_CASE("a lag between the turns is found, or stands in A's band", "[procedure][synthetic]") {
  MadeSwing made = make_swing({.stations = 12, .both_turns = true, .hysteresis_sigma_deg = 0.0}, 5);
  for (SwingReading& r : made.readings) {
    r.indicated_deg = rounded(r.indicated_deg + (r.turn == SwingTurn::clockwise ? -1 : 1), 1.0);
  }
  const SwingCompass both = solved(made.readings);
  REQUIRE(both.hysteresis_deg);
  CHECK(*both.hysteresis_deg == Approx(2.0).margin(4.0 * both.hysteresis_sigma_deg));
  CHECK(*both.hysteresis_deg > 0.5);
  made.readings.resize(12);
  SwingOptions wide;
  wide.hysteresis_sigma_deg = 4.0;
  CHECK(solved(made.readings, wide).sigma_deg[0] > 1.8);  // half of 4, by 800 draws
}

TEST_CASE("deviations beyond 20 deg use the exact equation", "[procedure][synthetic]") {
  // Truth from the exact equation itself, by fixed point: A' 1, B' 25, C' 8, D' 4, E' 0
  // (times 57.3).
  const DeviationCurve truth{DeviationForm::exact, {1.0, 25.0, 8.0, 4.0, 0.0}};
  std::vector<SwingReading> readings;
  for (std::size_t k = 0; k < 24; ++k) {
    SwingReading r;
    r.indicated_deg = 15.0 * static_cast<double>(k);
    r.station_deg =
        std::fmod(r.indicated_deg + truth.deviation_deg(r.indicated_deg) + 360.0, 360.0);
    r.compass = "standby";
    r.row = k;
    readings.push_back(r);
  }
  SwingOptions options;
  options.rounding_deg = 0.1;
  options.reading_sigma_deg = options.station_sigma_deg = 0.1;
  const SwingCompass c = solved(readings, options);
  CHECK(c.exact());
  for (std::size_t j = 0; j < 5; ++j) {
    CHECK(c.curve.coefficients_deg[j] == Approx(truth.coefficients_deg[j]).margin(0.05));
  }
  CHECK(says(c.remarks, "exact equation"));
}

TEST_CASE("a standby compass is judged by 10 degrees, on any heading", "[procedure][published]") {
  // 14 CFR 23.1327(a)(2) (amendment 23-20, 1977) and 25.1327(b) (both read): deviation of the
  // compensated installation in level flight not above 10 deg on any heading. The worst heading
  // counts, wherever it is: here it comes from B, C, D and E, and from A.
  SwingOptions fine;
  fine.rounding_deg = 0.0;
  fine.reading_sigma_deg = fine.station_sigma_deg = 0.02;
  fine.north_sigma_deg = fine.hysteresis_sigma_deg = 0.02;
  for (std::size_t j = 0; j < 5; ++j) {
    for (const double size : {9.7, 10.3}) {
      MadeSwing made;
      made.truth[j] = size;
      std::vector<SwingReading> readings;
      for (std::size_t k = 0; k < 16; ++k) {
        SwingReading r;
        r.station_deg = 22.5 * static_cast<double>(k);
        r.indicated_deg = rounded(read_on(made, r.station_deg), 0.0);
        r.compass = "standby";
        r.row = k;
        r.roll_deg = r.pitch_deg = std::nan("");
        readings.push_back(r);
      }
      const SwingCompass c = solved(readings, fine);
      INFO("ABCDE"[j] << " " << size << ": " << c.worst_95_deg.first << " to "
                      << c.worst_95_deg.second);
      CHECK(c.verdict.limit->value.in_deg() == 10.0);
      CHECK(c.worst_deviation_deg == Approx(size).margin(0.1));
      CHECK(c.verdict.state == (size < 10.0 ? VerdictState::within : VerdictState::over));
    }
  }
}

TEST_CASE("a limit belongs to a compass and has a basis", "[procedure][published]") {
  // 14 CFR 23.1327 (amendment 23-20): 10 degrees on any heading in level flight.
  MadeSwing made = make_swing({.size = 0.3}, 5);
  const SwingCompass standby = solved(made.readings);
  REQUIRE(standby.verdict.limit);
  CHECK(standby.verdict.limit->value.in_deg() == Approx(10.0));
  CHECK(standby.verdict.limit->basis.find("14 CFR 23.1327") != std::string::npos);
  CHECK(standby.verdict.state == VerdictState::within);
  for (SwingReading& r : made.readings) r.compass = "remote";
  const SwingCompass remote = solved(made.readings);
  CHECK_FALSE(remote.verdict.limit);
  CHECK(remote.verdict.state == VerdictState::unproven);
  CHECK(remote.verdict.do_next.find("--limit") != std::string::npos);
  SwingOptions bad;
  bad.limits = {{"nobody", Limit{Angle::degrees(2.0), "own"}}};
  CHECK_FALSE(solve_swing(made.readings, bad).has_value());
  bad = {};
  bad.reading_sigma_deg = 0.0;
  CHECK(solve_swing(made.readings, bad).error().where == "option --reading-sigma-deg");
}

TEST_CASE("a compass read on few marks is told more by another read beside it",
          "[procedure][synthetic]") {
  // Placing is the larger error by far, the standby is read on six of 24 marks, the remote on all:
  // the remote shows how the aircraft stood. Alone the six readings must do.
  SwingOptions options;
  options.reading_sigma_deg = 0.2;
  options.station_sigma_deg = 1.5;
  options.rounding_deg = 0.1;
  double alone = 0.0, together = 0.0;
  int held = 0;
  constexpr int kSwings = 60;
  for (std::uint64_t s = 0; s < kSwings; ++s) {
    MadeSwing standby = make_swing({.stations = 24}, 2 * s + 1);
    MadeSwing remote = make_swing({.stations = 24}, 2 * s + 2);
    simulate::Random random{s, 3};
    std::vector<SwingReading> few, all;
    for (std::size_t k = 0; k < 24; ++k) {
      const double stands = 15.0 * static_cast<double>(k) + 1.5 * random.normal();
      SwingReading a = standby.readings[k], b = remote.readings[k];
      a.indicated_deg = rounded(read_on(standby, stands) + 0.2 * random.normal(), 0.1);
      b.indicated_deg = rounded(read_on(remote, stands) + 0.2 * random.normal(), 0.1);
      b.compass = "remote";
      b.row += 24;
      if (k % 4 == 0) few.push_back(a);
      all.push_back(b);
    }
    const double width = [&] {
      const auto [lo, hi] = solved(few, options).band_95_deg[1];
      return hi - lo;
    }();
    all.insert(all.begin(), few.begin(), few.end());
    const SwingCompass joint = solved(all, options);
    REQUIRE(joint.name == "standby");
    alone += width;
    together += joint.band_95_deg[1].second - joint.band_95_deg[1].first;
    const double truth = standby.truth[1];
    if (joint.band_95_deg[1].first <= truth && truth <= joint.band_95_deg[1].second) ++held;
  }
  CHECK(together < 0.75 * alone);
  CHECK(held >= 52);  // of 60; a true 95 % falls below in one of 500 trials
}

TEST_CASE("a wrong mark is seen in all compasses and named so", "[procedure][synthetic]") {
  MadeSwing one = make_swing({.stations = 12}, 7);
  const MadeSwing two = make_swing({.stations = 12}, 8);
  std::vector<SwingReading> all = one.readings;
  for (SwingReading r : two.readings) {
    r.compass = "remote";
    r.row += 100;
    all.push_back(r);
  }
  all[4].indicated_deg = one.readings[5].indicated_deg;
  all[16].indicated_deg = two.readings[5].indicated_deg;
  const auto out = solve_swing(all, {});
  REQUIRE(out.has_value());
  for (const SwingCompass& compass : out.value().compasses) {
    REQUIRE(compass.gross.size() == 1);
    CHECK(compass.gross[0].station_deg == 120.0);
    CHECK(compass.gross[0].likely == "other station");
    CHECK(compass.gross[0].what.find("stood on another mark") != std::string::npos);
  }
}
