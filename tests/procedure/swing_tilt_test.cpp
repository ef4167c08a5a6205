// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "procedure/swing_solve.h"
#include "swing_maker.h"
#include "swing_tilt_maker.h"

using namespace qn;
using namespace qn::test;

namespace {

SwingCompass solved_one(const std::vector<SwingReading>& readings, const SwingOptions& options) {
  const auto solved = solve_swing(readings, options);
  REQUIRE(solved.has_value());
  return solved.value().compasses[0];
}

SwingOptions fine(double sigma_deg) {
  SwingOptions o;
  o.rounding_deg = 0.0;
  o.reading_sigma_deg = o.station_sigma_deg = sigma_deg;
  o.north_sigma_deg = o.hysteresis_sigma_deg = 1e-3;
  return o;
}

SwingReading tilted(double station_deg, double indicated_deg, double pitch_deg, double roll_deg,
                    std::size_t row) {
  SwingReading r;
  r.station_deg = station_deg;
  r.indicated_deg = indicated_deg;
  r.compass = "standby";
  r.row = row;
  r.pitch_deg = pitch_deg;
  r.roll_deg = roll_deg;
  return r;
}

std::vector<SwingReading> read_level(const IronCompass& compass, std::size_t stops,
                                     double pitch_deg, double roll_deg) {
  std::vector<SwingReading> out;
  for (std::size_t k = 0; k < stops; ++k) {
    const double mark = 360.0 / static_cast<double>(stops) * static_cast<double>(k);
    out.push_back(tilted(mark, compass.reads(mark, pitch_deg, roll_deg), pitch_deg, roll_deg, k));
  }
  return out;
}

void check_same(const SwingCompass& a, const SwingCompass& b) {
  CHECK(a.curve.coefficients_deg == b.curve.coefficients_deg);
  CHECK(a.covariance_deg2 == b.covariance_deg2);
  CHECK(a.band_95_deg == b.band_95_deg);
  CHECK(a.worst_95_deg == b.worst_95_deg);
  CHECK(a.draws_deg == b.draws_deg);
  CHECK(a.residuals_deg == b.residuals_deg);
  CHECK(a.remarks == b.remarks);
}

}  // namespace

TEST_CASE("a level aircraft is one whose attitude was not given, to the last bit",
          "[procedure][closed-form]") {
  for (const double step : {0.1, 1.0, 5.0}) {
    MadeSwing made = make_swing({.stations = 12, .both_turns = true, .rounding_deg = step}, 8);
    SwingOptions options;
    options.rounding_deg = step;
    const SwingCompass unsaid = solved_one(made.readings, options);
    for (SwingReading& r : made.readings) r.pitch_deg = r.roll_deg = 0.0;
    const SwingCompass level = solved_one(made.readings, options);
    check_same(unsaid, level);
    CHECK_FALSE(level.stance);
    // Two compasses on the same stays.
    const std::size_t rows = made.readings.size();
    for (std::size_t k = 0; k < rows; ++k) {
      SwingReading other = made.readings[k];
      other.compass = "remote";
      other.indicated_deg = std::fmod(other.indicated_deg + 361.0, 360.0);
      other.row = rows + k;
      made.readings.push_back(other);
    }
    const SwingCompass beside = solved_one(made.readings, options);
    for (SwingReading& r : made.readings) r.pitch_deg = r.roll_deg = std::nan("");
    check_same(beside, solved_one(made.readings, options));
  }
}

TEST_CASE("stops tilted in different ways show what tilt adds", "[procedure][closed-form]") {
  // R 0.15 of H: B grows by 0.15 deg for each degree of pitch, C falls by as much for each of roll
  // (docs/math/swing.md). B 3.4, C -2.3 level: 57.3 times P and Q, 0.06 and -0.04.
  IronCompass iron;
  iron.hard = {0.06, -0.04, 0.15};
  std::vector<SwingReading> readings;
  for (std::size_t k = 0; k < 24; ++k) {
    const double mark = 15.0 * static_cast<double>(k);
    const double pitch = k % 2 == 0 ? 4.0 : -4.0, roll = k % 3 == 0 ? 5.0 : -2.5;
    readings.push_back(tilted(mark, iron.reads(mark, pitch, roll), pitch, roll, k));
  }
  const SwingCompass c = solved_one(readings, fine(0.02));
  REQUIRE(c.stance);
  // Second order of the tilt: 0.004 of 0.06.
  CHECK(c.stance->per_deg[0] == Approx(0.15).margin(0.005));
  CHECK(c.stance->per_deg[1] == Approx(0.0).margin(0.005));
  CHECK(c.stance->per_deg[2] == Approx(0.0).margin(0.005));
  CHECK(c.stance->per_deg[3] == Approx(-0.15).margin(0.005));
  const auto truth = level_coefficients(iron, false);
  for (std::size_t j = 0; j < 5; ++j) {
    CHECK(c.curve.coefficients_deg[j] == Approx(truth[j]).margin(0.02));
  }
  for (const double left : c.residuals_deg) CHECK(std::fabs(left) < 0.1);
}

TEST_CASE("an aircraft that stood tail low all around keeps what that may have added in its bands",
          "[procedure][closed-form]") {
  IronCompass iron;
  iron.hard = {0.06, -0.04, 0.15};
  const double pitch = 10.0;
  const SwingCompass c = solved_one(read_level(iron, 12, pitch, 0.0), fine(0.1));
  const SwingCompass level = solved_one(read_level(iron, 12, 0.0, 0.0), fine(0.1));
  REQUIRE(c.stance);
  CHECK(c.stance->pitch_deg == Approx(10.0));
  // 1 sigma for each degree: B hypot(0.2, 0.1), C 0.1.
  CHECK(c.sigma_deg[1] ==
        Approx(std::hypot(level.sigma_deg[1], pitch * std::hypot(0.2, 0.1))).epsilon(0.01));
  CHECK(c.sigma_deg[2] == Approx(std::hypot(level.sigma_deg[2], pitch * 0.1)).epsilon(0.01));
  // Of A, D and E: 0.014 for each degree.
  for (const std::size_t j : {0U, 3U, 4U}) {
    CHECK(c.sigma_deg[j] == Approx(std::hypot(level.sigma_deg[j], pitch * 0.014)).epsilon(0.02));
  }
  // Of what it read, 1.5 deg of B are R: within the band, and the estimate does not know.
  const auto truth = level_coefficients(iron, false);
  CHECK(c.curve.coefficients_deg[1] == Approx(truth[1] + 1.5).margin(0.1));
  CHECK(c.band_95_deg[1].first < truth[1]);
  CHECK(truth[1] < c.band_95_deg[1].second);
  CHECK(c.worst_95_deg.second > level.worst_95_deg.second + 2.0);
  std::string said;
  for (const std::string& r : c.remarks) said += r;
  for (const char* words : {"10.0 deg nose up", "level aircraft", "2.2 deg in B", "1.0 deg in C"}) {
    INFO(words);
    CHECK(said.find(words) != std::string::npos);
  }
  // One limit between the two bands: what would help is to lift the tail.
  SwingOptions limited = fine(0.1);
  limited.limits = {{"standby", Limit{Angle::degrees(7.0), "test"}}};
  const SwingCompass unproven = solved_one(read_level(iron, 12, pitch, 0.0), limited);
  CHECK(unproven.verdict.state == VerdictState::unproven);
  CHECK(unproven.verdict.do_next.find("attitude of level flight") != std::string::npos);
  CHECK(solved_one(read_level(iron, 12, 0.0, 0.0), limited).verdict.state == VerdictState::within);
}

TEST_CASE("an apron that slopes shifts A, and A's band knows it", "[procedure][closed-form]") {
  // Uphill due east by 2 deg: pitch 2 sin m, roll -2 cos m. B by pitch and C by roll add
  // 0.15 (pitch sin z - roll cos z) = 0.15 * 2 to every reading.
  IronCompass iron;
  iron.hard = {0.0, 0.0, 0.15};
  std::vector<SwingReading> readings;
  for (std::size_t k = 0; k < 12; ++k) {
    const double mark = 30.0 * static_cast<double>(k), z = mark * std::numbers::pi / 180.0;
    const double pitch = 2.0 * std::sin(z), roll = -2.0 * std::cos(z);
    readings.push_back(tilted(mark, iron.reads(mark, pitch, roll), pitch, roll, k));
  }
  const SwingCompass c = solved_one(readings, fine(0.05));
  CHECK(c.curve.coefficients_deg[0] == Approx(0.3).margin(0.02));
  CHECK(c.sigma_deg[0] == Approx(2.0 * 0.2).epsilon(0.1));
  CHECK(c.band_95_deg[0].first < 0.0);
}

TEST_CASE("a stop without its attitude stood like the others", "[procedure][closed-form]") {
  IronCompass iron;
  iron.hard = {0.06, -0.04, 0.1};
  auto readings = read_level(iron, 8, 11.0, 0.0);
  const SwingCompass all = solved_one(readings, fine(0.2));
  readings[3].pitch_deg = readings[3].roll_deg = std::nan("");
  const SwingCompass but_one = solved_one(readings, fine(0.2));
  CHECK(all.band_95_deg == but_one.band_95_deg);
  CHECK(but_one.remarks.size() == all.remarks.size() + 1);
}

TEST_CASE("a misread mark is named though the aircraft stood tilted", "[procedure][synthetic]") {
  IronCompass iron;
  iron.hard = {0.06, -0.04, 0.2};
  auto readings = read_level(iron, 12, 12.0, 1.5);
  for (SwingReading& r : readings) r.indicated_deg = rounded(r.indicated_deg, 1.0);
  readings[4].indicated_deg = rounded(readings[4].indicated_deg + 10.0, 1.0);
  const SwingCompass c = solved_one(readings, {});
  REQUIRE(c.gross.size() == 1);
  CHECK(c.gross[0].row == 4);
}

namespace {

struct TiltTally {
  int bands = 0, held = 0, worsts = 0, worst_held = 0;
  double share() const { return static_cast<double>(held) / bands; }
  double worst_share() const { return static_cast<double>(worst_held) / worsts; }
};

TiltTally tilted_swings(int count, std::uint64_t first) {
  TiltTally out;
  for (int n = 0; n < count; ++n) {
    const TiltedSwing swing = make_tilted_swing(first + static_cast<std::uint64_t>(n));
    SwingOptions options;
    options.rounding_deg = swing.rounding_deg;
    const auto found = solve_swing(swing.readings, options);
    for (std::size_t c = 0; c < swing.compasses.size(); ++c) {
      const SwingCompass& compass = found.value().compasses[c];
      const auto truth = level_coefficients(swing.compasses[c], compass.exact());
      for (std::size_t j = 0; j < 5; ++j) {
        const auto [lo, hi] = compass.band_95_deg[j];
        ++out.bands;
        if (lo <= truth[j] && truth[j] <= hi) ++out.held;
      }
      double worst = 0.0;
      for (int z = 0; z < 360; z += 2) {
        worst = std::max(worst, std::fabs(swing.compasses[c].level_deviation(z)));
      }
      ++out.worsts;
      if (compass.worst_95_deg.first <= worst && worst <= compass.worst_95_deg.second) {
        ++out.worst_held;
      }
    }
  }
  return out;
}

}  // namespace

TEST_CASE("bands of a tilted aircraft hold", "[procedure][synthetic]") {
  const TiltTally t = tilted_swings(120, 9000);
  INFO(t.share() << " " << t.worst_share());
  CHECK(t.share() > 0.92);  // some 800 bands: 0.95 less three of its sigmas
  CHECK(t.share() < 0.99);
  CHECK(t.worst_share() > 0.89);
}
