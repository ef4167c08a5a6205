// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_adjust.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "support/check_file.h"
#include "swing_adjust_maker.h"

using namespace qn;
using namespace qn::test;

namespace {

// "Compass Compensation Worksheet Examples" (training hand-out), question 1, correction swing:
// magnetic heading, compass.
std::vector<SwingReading> worksheet_correction() {
  const double rows[4][2] = {{359, 3}, {91, 85}, {178, 170}, {267, 265}};
  std::vector<SwingReading> out;
  for (std::size_t k = 0; k < 4; ++k) out.push_back(plain_reading(rows[k][0], rows[k][1], k));
  return out;
}

// NGA Handbook of Magnetic Compass Adjustment (2004), chapter V, article 501: deviations on the
// eight compass headings, east positive.
std::vector<SwingReading> handbook_example() {
  std::vector<SwingReading> out;
  for (const auto& row : read_check_file("swing-handbook.check").cases) {
    const double z = row.input.at("head_deg");
    out.push_back(
        plain_reading(std::fmod(z + row.input.at("deviation_deg") + 360.0, 360.0), z, out.size()));
  }
  return out;
}

/// Sizes of the noise as in a table.
SwingAdjustOptions fine_options(AdjustRule rule) {
  SwingAdjustOptions o;
  o.rule = rule;
  o.swing.rounding_deg = 0.0;
  o.swing.reading_sigma_deg = 0.01;
  o.swing.station_sigma_deg = 0.1;
  return o;
}

}  // namespace

TEST_CASE("the training worksheet: what to set on S and W", "[procedure][published]") {
  // Question 1: C = (-4 - 8)/2 = -6, the compass is made to read 176 on S; B = (6 - 2)/2 = 2, and
  // 263 on W.
  SwingAdjustOptions options;
  options.rule = AdjustRule::halving;
  auto readings = worksheet_correction();
  const auto both = adjust_swing(readings, options);
  REQUIRE(both.has_value());
  const SwingAdjustment& a = both.value().compasses[0];
  REQUIRE(a.turns.size() == 2);
  CHECK(a.turns[0].adjuster == 'B');
  CHECK(a.turns[0].here);
  CHECK(a.turns[0].station_deg == 267.0);
  CHECK(a.turns[0].set_deg == Approx(263.0));
  CHECK(a.turns[0].change_deg == Approx(-2.0));
  CHECK(a.turns[1].adjuster == 'C');
  CHECK(a.turns[1].station_deg == 178.0);
  CHECK(a.turns[1].set_deg == Approx(176.0));
  CHECK(a.turns[1].change_deg == Approx(6.0));
  CHECK_FALSE(a.read_next_deg);

  // Live: on S, before W has been read.
  readings.pop_back();
  const auto live = adjust_swing(readings, options);
  REQUIRE(live.has_value());
  const SwingAdjustment& on_south = live.value().compasses[0];
  REQUIRE(on_south.turns.size() == 1);
  CHECK(on_south.turns[0].here);
  CHECK(on_south.turns[0].set_deg == Approx(176.0));
  CHECK(on_south.read_next_deg == 270.0);
}

TEST_CASE("the halving rule, screw by screw, leaves A + E and A - E", "[procedure][published]") {
  // Section 1.9 of the trade's rule (worked out): halving ends with A + E on N and S, with A - E on
  // E and W, and B and C are gone. The deviation is that of the mark, as in a worksheet, whose
  // compass reads nearly what the mark is: then it is so to the last digit.
  struct ByMark {
    std::array<double, 5> k{};
    double deviation(double mark_deg) const {
      const auto w = ScrewedCompass::waves(mark_deg);
      double sum = 0.0;
      for (std::size_t j = 0; j < 5; ++j) sum += w[j] * k[j];
      return sum;
    }
    double reads(double mark_deg) const {
      return std::fmod(mark_deg - deviation(mark_deg) + 360.0, 360.0);
    }
    void turn(char adjuster, double mark_deg, double until_deg) {
      const auto j = static_cast<std::size_t>(adjuster - 'A');
      k[j] += (std::remainder(mark_deg - until_deg, 360.0) - deviation(mark_deg)) /
              ScrewedCompass::waves(mark_deg)[j];
    }
  };
  ByMark compass{{2.0, 5.0, -4.0, 1.0, 1.5}};
  std::vector<SwingReading> readings;
  SwingAdjustOptions options = fine_options(AdjustRule::halving);
  for (const double mark : {0.0, 90.0, 180.0, 270.0}) {
    readings.push_back(plain_reading(mark, compass.reads(mark), readings.size()));
    const auto plan = adjust_swing(readings, options);
    REQUIRE(plan.has_value());
    REQUIRE(plan.value().compasses[0].turns.size() == 1);
    const AdjusterTurn& turn = plan.value().compasses[0].turns[0];
    CHECK(turn.here);
    if (mark < 180.0) CHECK(std::fabs(std::remainder(turn.set_deg - mark, 360.0)) < 1e-9);
    compass.turn(turn.adjuster, mark, turn.set_deg);
    readings.back().set_deg = turn.set_deg;
  }
  for (const double mark : {0.0, 180.0}) {
    CHECK(compass.deviation(mark) == Approx(2.0 + 1.5).margin(1e-9));
  }
  for (const double mark : {90.0, 270.0}) {
    CHECK(compass.deviation(mark) == Approx(2.0 - 1.5).margin(1e-9));
  }
  CHECK(std::fabs(compass.k[1]) < 1e-9);
  CHECK(std::fabs(compass.k[2]) < 1e-9);
  const auto done = adjust_swing(readings, options);
  REQUIRE(done.has_value());
  CHECK(done.value().compasses[0].turns.empty());
}

TEST_CASE("correcting on a quarter shifts the headings between by 0.7 of it",
          "[procedure][published]") {
  // Bowditch, The American Practical Navigator, chapter 6 (read in a stored copy): a correction of
  // B or C on a cardinal heading shifts the deviation on the intercardinal ones by 0.7, sin 45, of
  // that amount in the same sense.
  const auto best = adjust_swing(handbook_example(), fine_options(AdjustRule::least_squares));
  REQUIRE(best.has_value());
  const SwingAdjustment& a = best.value().compasses[0];
  REQUIRE(a.turns.size() == 2);
  double by[2] = {0.0, 0.0};  // what B and C change by
  for (const AdjusterTurn& turn : a.turns) by[turn.adjuster - 'B'] = turn.change_deg;
  const DeviationCurve now{DeviationForm::series, a.now_deg};
  const DeviationCurve after{DeviationForm::series, a.after_deg};
  const auto shift = [&](double z) { return after.deviation_deg(z) - now.deviation_deg(z); };
  const double root = std::sqrt(0.5);
  CHECK(shift(90.0) == Approx(by[0]).margin(1e-6));
  CHECK(shift(0.0) == Approx(by[1]).margin(1e-6));
  for (int q = 0; q < 4; ++q) {
    const double z = 45.0 + 90.0 * q;
    const double east = q < 2 ? 1.0 : -1.0, north = q % 3 == 0 ? 1.0 : -1.0;
    CHECK(shift(z) == Approx(root * (east * by[0] + north * by[1])).margin(1e-6));
  }
  CHECK(std::round(10.0 * root) / 10.0 == 0.7);
}

TEST_CASE("the handbook's example: by its own means and by least squares",
          "[procedure][published]") {
  // Its own rule, B = (E - W)/2 = 12.0 and C = (N - S)/2 = 8.0, is what halving takes off.
  const auto halved = adjust_swing(handbook_example(), fine_options(AdjustRule::halving));
  REQUIRE(halved.has_value());
  for (const AdjusterTurn& turn : halved.value().compasses[0].turns) {
    CHECK(turn.change_deg == Approx(turn.adjuster == 'B' ? -12.0 : -8.0).margin(1e-9));
  }
  CHECK(halved.value().compasses[0].turns.size() == 2);

  // Least squares on the eight deviations (computed outside this program), to every digit. The
  // reading enters as it stands here: nothing bends. Eight headings tell all five, so that nothing
  // is believed of them beforehand.
  const auto best = adjust_swing(handbook_example(), fine_options(AdjustRule::least_squares));
  REQUIRE(best.has_value());
  const SwingAdjustment& a = best.value().compasses[0];
  const double truth[5] = {1.0, 11.93970, 7.95980, 5.0, 1.5};
  for (std::size_t j = 0; j < 5; ++j) CHECK(a.now_deg[j] == Approx(truth[j]).margin(5e-6));
  const DeviationCurve now{DeviationForm::series, a.now_deg};
  const auto file = read_check_file("swing-handbook.check");
  double squares = 0.0, largest = 0.0;
  for (const auto& row : file.cases) {
    const double fitted = now.deviation_deg(row.input.at("head_deg"));
    const double left = row.input.at("deviation_deg") - fitted;
    CHECK(std::fabs(fitted - row.result.at("fitted_deg")) <= file.tolerance.at("fitted_deg"));
    CHECK(std::fabs(left - row.result.at("left_deg")) <= file.tolerance.at("left_deg"));
    squares += left * left;
    largest = std::max(largest, std::fabs(left));
  }
  CHECK(std::sqrt(squares / 3.0) == Approx(0.08369).margin(5e-6));
  CHECK(largest == Approx(0.0711).margin(5e-5));
  CHECK(std::fabs(a.after_deg[1]) < 0.01);
  CHECK(std::fabs(a.after_deg[2]) < 0.01);
  // What no screw takes off: |A| + hypot(D, E).
  CHECK(a.no_screw_deg == Approx(1.0 + std::hypot(5.0, 1.5)).margin(1e-4));
  CHECK(a.worst_after_deg == Approx(a.no_screw_deg).margin(0.05));  // on a grid of 5 deg
}

TEST_CASE("on a half-way heading both screws are turned in one visit", "[procedure][closed-form]") {
  const SwingCoefficients truth{0.0, 6.0, -3.0, 0.0, 0.0};
  ScrewedCompass compass{truth};
  std::vector<SwingReading> readings;
  for (int mark = 90; mark < 450; mark += 45) {
    readings.push_back(plain_reading(mark % 360, compass.reads(mark % 360), readings.size()));
  }
  const auto plan = adjust_swing(readings, fine_options(AdjustRule::least_squares));
  REQUIRE(plan.has_value());
  const SwingAdjustment& a = plan.value().compasses[0];
  REQUIRE(a.turns.size() == 2);
  for (const AdjusterTurn& turn : a.turns) {
    CHECK(turn.here);
    CHECK(turn.station_deg == 45.0);
    compass.turn(turn.adjuster, 45.0, turn.set_deg);
  }
  // The law is linear in the reading as read; 6 deg of B bend it by a hundredth.
  CHECK(std::fabs(compass.coefficients_deg[1]) < 0.02);
  CHECK(std::fabs(compass.coefficients_deg[2]) < 0.02);
}

TEST_CASE("too few readings ask for the one that tells most", "[procedure][synthetic]") {
  const auto north = adjust_swing({plain_reading(0, 354, 0)}, {});
  REQUIRE(north.has_value());
  CHECK(north.value().compasses[0].turns.empty());
  REQUIRE(north.value().compasses[0].read_next_deg);
  CHECK(north.value().compasses[0].one_heading);
  CHECK(north.value().compasses[0].verdict.because.find("one heading cannot tell") !=
        std::string::npos);
  // N and S tell C; B is still open, and E or W tell it.
  const auto both = adjust_swing({plain_reading(0, 354, 0), plain_reading(180, 186, 1)}, {});
  REQUIRE(both.has_value());
  REQUIRE(both.value().compasses[0].turns.size() == 1);
  CHECK(both.value().compasses[0].turns[0].adjuster == 'C');
  const double next = *both.value().compasses[0].read_next_deg;
  CHECK((next == 90.0 || next == 270.0));
}

TEST_CASE("a misread station is no reason to turn a screw", "[procedure][synthetic]") {
  ScrewedCompass compass{{0.5, 4.0, -3.0, 0.5, 0.0}};
  std::vector<SwingReading> readings;
  for (int mark = 0; mark < 360; mark += 30) {
    readings.push_back(plain_reading(mark, std::round(compass.reads(mark)), readings.size()));
  }
  readings[3].indicated_deg += 20.0;
  const auto plan = adjust_swing(readings, {});
  REQUIRE(plan.has_value());
  const SwingAdjustment& a = plan.value().compasses[0];
  REQUIRE(a.doubtful.size() == 1);
  CHECK(a.doubtful[0].row == 3);
  CHECK(a.now_deg[1] == Approx(4.0).margin(0.8));
}

TEST_CASE("A, D and E: the answer says that no screw takes them off", "[procedure][synthetic]") {
  ScrewedCompass compass{{4.0, 3.0, 3.0, 8.0, 0.0}};
  std::vector<SwingReading> readings;
  for (int mark = 0; mark < 360; mark += 30) {
    SwingReading r = plain_reading(mark, compass.reads(mark), readings.size());
    r.compass = "standby";
    readings.push_back(r);
  }
  SwingAdjustOptions options = fine_options(AdjustRule::least_squares);
  const auto plan = adjust_swing(readings, options);
  REQUIRE(plan.has_value());
  std::string words;
  for (const std::string& r : plan.value().compasses[0].remarks) words += r;
  for (const char* part : {"lubber line", "clockwise", "soft iron", "Adjusters cannot"}) {
    INFO(part);
    CHECK(words.find(part) != std::string::npos);
  }
  CHECK(plan.value().compasses[0].verdict.state == VerdictState::over);
  options.mount_turns = true;  // 8 of D alone are inside 10
  const auto turned = adjust_swing(readings, options);
  REQUIRE(turned.has_value());
  CHECK(turned.value().compasses[0].turns.back().adjuster == 'A');
  CHECK(turned.value().compasses[0].verdict.state == VerdictState::within);
}

TEST_CASE("screws set with the tail on the ground leave the level aircraft open",
          "[procedure][synthetic]") {
  ScrewedCompass compass{{0.5, 6.0, -5.0, 1.0, 0.0}};
  std::vector<SwingReading> readings;
  for (int mark = 0; mark < 360; mark += 30) {
    SwingReading r = plain_reading(mark, compass.reads(mark), readings.size());
    r.compass = "standby";
    readings.push_back(r);
  }
  const auto level = adjust_swing(readings, fine_options(AdjustRule::least_squares));
  REQUIRE(level.has_value());
  CHECK(level.value().compasses[0].verdict.state == VerdictState::within);
  for (SwingReading& r : readings) r.pitch_deg = 20.0;
  const auto tail_low = adjust_swing(readings, fine_options(AdjustRule::least_squares));
  REQUIRE(tail_low.has_value());
  const SwingAdjustment& a = tail_low.value().compasses[0];
  CHECK(a.verdict.state == VerdictState::unproven);
  REQUIRE(a.turns.size() == level.value().compasses[0].turns.size());
  CHECK(a.turns[0].set_deg == level.value().compasses[0].turns[0].set_deg);
  CHECK(a.remarks.back().find("20.0 deg nose up") != std::string::npos);
}

TEST_CASE("a screw turned where it does nothing is a slip", "[procedure][synthetic]") {
  auto readings = worksheet_correction();
  readings[0].set_deg = 0.0;
  readings[0].adjuster = 'B';  // on N
  const auto refused = adjust_swing(readings, {});
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().where.find("row 1") != std::string::npos);
}

TEST_CASE("what is said to be left after the turns is left", "[procedure][synthetic]") {
  const AdjustTally tally = adjusted_swings(80, 31);
  INFO(tally.screws << " " << tally.worst);
  CHECK(tally.screws > 0.88);  // 160 bands of B and C
  CHECK(tally.worst > 0.86);
}

TEST_CASE("bands of what adjusting leaves hold", "[procedure][synthetic][long]") {
  const AdjustTally tally = adjusted_swings(2000, 77);
  INFO(tally.screws << " " << tally.worst);
  CHECK(tally.screws > 0.93);
  CHECK(tally.screws < 0.97);
  CHECK(tally.worst > 0.93);
  CHECK(tally.worst < 0.98);
}
