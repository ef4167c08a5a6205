// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_iron.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "simulate/random.h"

using namespace qn;

namespace {

/// Smith's equations for level flight, from memory (docs/sources.md): x forward, y to the right.
struct MadeIron {
  double a = 0.0, b = 0.0, c = 0.0, d = 0.0, e = 0.0, f = 0.0;
  double p_uT = 0.0, q_uT = 0.0;

  /// What the compass shows on a magnetic heading.
  double reads(double magnetic_deg, double h_uT, double z_uT) const {
    const double m = magnetic_deg * std::numbers::pi / 180.0;
    const double x = h_uT * std::cos(m), y = -h_uT * std::sin(m);
    const double seen_x = x + a * x + b * y + c * z_uT + p_uT;
    const double seen_y = y + d * x + e * y + f * z_uT + q_uT;
    const double shown = std::atan2(-seen_y, seen_x) * 180.0 / std::numbers::pi;
    return std::fmod(shown + 360.0, 360.0);
  }
};

LocalField field_of(double h_uT, double z_uT) {
  LocalField field;
  field.horizontal_uT = h_uT;
  field.down_uT = z_uT;
  field.sigma_horizontal_uT = field.sigma_down_uT = 0.1;
  field.source = "measured";
  return field;
}

SwingCompass swung(const MadeIron& iron, double h_uT, double z_uT, double scatter_deg,
                   simulate::Random& random) {
  std::vector<SwingReading> readings;
  for (int turn = 0; turn < 2; ++turn) {
    for (int k = 0; k < 12; ++k) {
      SwingReading r;
      r.station_deg = 30.0 * k;
      r.indicated_deg = std::fmod(
          iron.reads(r.station_deg, h_uT, z_uT) + scatter_deg * random.normal() + 360.0, 360.0);
      r.compass = "standby";
      r.turn = turn == 0 ? SwingTurn::clockwise : SwingTurn::counterclockwise;
      r.row = readings.size();
      r.roll_deg = r.pitch_deg = std::nan("");
      readings.push_back(r);
    }
  }
  SwingOptions options;
  options.rounding_deg = 0.0;
  options.reading_sigma_deg = std::max(scatter_deg, 0.01);
  options.station_sigma_deg = 0.01;
  options.north_sigma_deg = 0.01;
  const auto solved = solve_swing(readings, options);
  REQUIRE(solved.has_value());
  return solved.value().compasses[0];
}

}  // namespace

TEST_CASE("coefficients go back to the iron that made them", "[procedure][closed-form]") {
  // a + e = 0, so that the share of the Earth's field is 1, as is assumed.
  const MadeIron iron{0.03, 0.01, 0.02, 0.02, -0.03, -0.01, 1.0, -0.5};
  simulate::Random random{3, 1};
  const SwingIron found = iron_of(swung(iron, 20.0, 43.0, 0.0, random), field_of(20.0, 43.0));
  REQUIRE(found.known);
  // The sine series leaves a few thousandths of a radian of the exact equation: 0.05 uT of 20.
  CHECK(found.ahead_uT.value == Approx(1.0 + 0.02 * 43.0).margin(0.05));
  CHECK(found.right_uT.value == Approx(-0.5 - 0.01 * 43.0).margin(0.05));
  CHECK(found.soft_length.value == Approx(0.03).margin(0.002));
  CHECK(found.soft_cross.value == Approx(0.015).margin(0.002));
  CHECK(found.soft_turn.value == Approx(0.005).margin(0.002));
  CHECK(found.ahead_uT.sigma > 0.05 * found.ahead_uT.value);  // the share, assumed to 5 %
}

TEST_CASE("a forecast spans from all permanent to all vertical iron", "[procedure][closed-form]") {
  // Permanent: H1/H2; vertical soft iron: tan I2/tan I1 (methods: Smith's B' = (c tan I + P/H)).
  simulate::Random random{4, 1};
  const MadeIron iron{0.0, 0.0, 0.02, 0.0, 0.0, 0.0, 0.8, 0.3};
  const LocalField here = field_of(20.0, 20.0 * std::tan(60.0 * std::numbers::pi / 180.0));
  const LocalField there = field_of(15.0, 15.0 * std::tan(70.0 * std::numbers::pi / 180.0));
  const auto compass = swung(iron, here.horizontal_uT, here.down_uT, 0.1, random);
  const IronForecast forecast = forecast_swing(compass, here, there);
  REQUIRE(forecast.known);
  CHECK(forecast.all_hard == Approx(20.0 / 15.0));
  CHECK(forecast.all_soft ==
        Approx(std::tan(70.0 * std::numbers::pi / 180.0) / std::tan(std::numbers::pi / 3.0)));
  for (const ForecastPoint& p : forecast.points) {
    // The magnetic heading on which it shows this there, by halving.
    double lo = p.indicated_deg - 90.0, hi = p.indicated_deg + 90.0;
    for (int i = 0; i < 50; ++i) {
      const double m = 0.5 * (lo + hi);
      const double shown = iron.reads(m, there.horizontal_uT, there.down_uT);
      (std::remainder(shown - p.indicated_deg, 360.0) < 0.0 ? lo : hi) = m;
    }
    const double deviation = std::remainder(lo - p.indicated_deg, 360.0);
    INFO(p.indicated_deg);
    CHECK(deviation > p.lo_deg - 0.05);  // the exact equation, fitted as a series here
    CHECK(deviation < p.hi_deg + 0.05);
  }
  CHECK(forecast.verdict.state == VerdictState::within);
}

TEST_CASE("whatever the mixture, the forecast holds", "[procedure][synthetic]") {
  simulate::Random random{9, 2};
  const LocalField here = field_of(20.0, 34.6);
  const LocalField there = field_of(15.0, 41.2);
  int held = 0, worst_held = 0, all = 0;
  constexpr int kCases = 60;
  for (int n = 0; n < kCases; ++n) {
    const double ahead = 1.5 * random.normal(), right = 1.5 * random.normal();
    const double b = random.uniform(), c = random.uniform();
    MadeIron iron;
    iron.a = 0.01 * random.normal();
    iron.b = iron.d = 0.01 * random.normal();
    iron.e = -iron.a;
    iron.p_uT = (1.0 - b) * ahead;
    iron.c = b * ahead / here.down_uT;
    iron.q_uT = (1.0 - c) * right;
    iron.f = c * right / here.down_uT;
    const auto compass = swung(iron, here.horizontal_uT, here.down_uT, 0.5, random);
    const IronForecast forecast = forecast_swing(compass, here, there);
    REQUIRE(forecast.known);
    double worst = 0.0;
    for (int m = 0; m < 360; ++m) {
      const double shown = iron.reads(m, there.horizontal_uT, there.down_uT);
      const double deviation = std::remainder(m - shown, 360.0);
      worst = std::max(worst, std::fabs(deviation));
      for (const ForecastPoint& p : forecast.points) {
        if (std::fabs(std::remainder(shown - p.indicated_deg, 360.0)) > 0.5) continue;
        ++all;
        if (p.lo_deg - 0.02 < deviation && deviation < p.hi_deg + 0.02) ++held;
        break;
      }
    }
    const auto [lo, hi] = forecast.worst_95_deg;
    if (lo <= worst && worst <= hi) ++worst_held;
  }
  INFO(held << " of " << all << ", " << worst_held << " of " << kCases);
  CHECK(held > 0.93 * all);
  CHECK(worst_held >= 54);
}

TEST_CASE("near the magnetic equator no forecast is made", "[procedure][synthetic]") {
  simulate::Random random{5, 1};
  const LocalField flat = field_of(35.0, 3.0);
  const auto compass = swung({}, 35.0, 3.0, 0.1, random);
  const IronForecast forecast = forecast_swing(compass, flat, field_of(20.0, 43.0));
  CHECK_FALSE(forecast.known);
  CHECK(forecast.verdict.state == VerdictState::unproven);
  CHECK(forecast.why_not.find("dip") != std::string::npos);
}
