// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "procedure/swing_card.h"
#include "procedure/swing_solve.h"

using namespace qn;

namespace {

SwingReading reading(double station_deg, double indicated_deg, std::size_t row) {
  SwingReading r;
  r.station_deg = station_deg;
  r.indicated_deg = indicated_deg;
  r.compass = "standby";
  r.row = row;
  r.roll_deg = r.pitch_deg = std::nan("");
  return r;
}

/// Sizes of the noise as in a table: all of it in the station, nearly none in the reading.
SwingOptions table_options(double sigma_deg) {
  SwingOptions o;
  o.rounding_deg = 0.0;
  o.reading_sigma_deg = 0.001;
  o.station_sigma_deg = sigma_deg;
  return o;
}

// NGA Handbook of Magnetic Compass Adjustment (2004), chapter V, article 501: deviations on the
// eight compass headings, east positive.
std::vector<SwingReading> handbook() {
  const double deviation[8] = {10.5, 20.0, 11.5, -1.2, -5.5, -8.0, -12.5, -6.8};
  std::vector<SwingReading> out;
  for (std::size_t k = 0; k < 8; ++k) {
    const double z = 45.0 * static_cast<double>(k);
    out.push_back(reading(std::fmod(z + deviation[k] + 360.0, 360.0), z, k));
  }
  return out;
}

// "Compass Compensation Worksheet Examples" (training hand-out), question 1, check swing.
std::vector<SwingReading> worksheet() {
  const double rows[8][2] = {{317, 316}, {0, 358},   {47, 42},   {93, 89},
                             {135, 134}, {179, 177}, {225, 220}, {273, 269}};
  std::vector<SwingReading> out;
  for (std::size_t k = 0; k < 8; ++k) out.push_back(reading(rows[k][0], rows[k][1], k));
  return out;
}

}  // namespace

TEST_CASE("the handbook's example by least squares", "[procedure][published]") {
  // Least squares on the eight printed deviations, computed outside this program in plain
  // arithmetic: A 1.00000, B 11.93970, C 7.95980, D 5.00000, E 1.50000; residuals below. With the
  // noise in the station alone, maximum likelihood is least squares but for the curve's bending
  // between reading and fit: 0.005 deg.
  const auto solved = solve_swing(handbook(), table_options(0.1));
  REQUIRE(solved.has_value());
  const SwingCompass& c = solved.value().compasses[0];
  const double truth[5] = {1.0, 11.93970, 7.95980, 5.0, 1.5};
  for (std::size_t j = 0; j < 5; ++j) {
    CHECK(c.curve.coefficients_deg[j] == Approx(truth[j]).margin(0.005));
  }
  const double left[8] = {0.0402, -0.0711, 0.0603, -0.0142, -0.0402, 0.0711, -0.0603, 0.0142};
  for (std::size_t k = 0; k < 8; ++k) CHECK(c.residuals_deg[k] == Approx(left[k]).margin(0.005));
  CHECK(c.verdict.state == VerdictState::over);  // 20 deg against 10
  CHECK(c.gross.empty());
}

TEST_CASE("the handbook's own rule lies inside our bands", "[procedure][published]") {
  // Same source: A 1.0, B 12.0, C 8.0, D 5.0, E 1.5 by its means of opposite headings.
  const auto solved = solve_swing(handbook(), table_options(0.1));
  REQUIRE(solved.has_value());
  const double rule[5] = {1.0, 12.0, 8.0, 5.0, 1.5};
  for (std::size_t j = 0; j < 5; ++j) {
    const auto [lo, hi] = solved.value().compasses[0].band_95_deg[j];
    CHECK(lo < rule[j]);
    CHECK(rule[j] < hi);
  }
}

TEST_CASE("the training worksheet: coefficients, residuals and card", "[procedure][published]") {
  // Question 1: A 3, no B and C; D 2 and E -1 from the same eight numbers (computed). The worksheet
  // takes the marks for the readings, which differ by up to 5 deg: up to 0.25 deg in D and E.
  SwingOptions options = table_options(0.3);
  options.rounding_deg = 1.0;
  const auto solved = solve_swing(worksheet(), options);
  REQUIRE(solved.has_value());
  const SwingCompass& c = solved.value().compasses[0];
  const double truth[5] = {3.0, 0.0, 0.0, 2.0, -1.0};
  for (std::size_t j = 0; j < 5; ++j) {
    CHECK(c.curve.coefficients_deg[j] == Approx(truth[j]).margin(0.25));
  }
  // The printed card: FOR less (deviation less A), to the nearest degree.
  const auto cards = make_cards(solved.value(), {45, true, CardRule::worksheet, std::nullopt});
  REQUIRE(cards.size() == 1);
  const double steer[8] = {1, 43, 89, 137, 181, 223, 269, 317};
  for (std::size_t k = 0; k < 8; ++k) {
    CHECK(cards[0].rows[k].for_deg == 45.0 * static_cast<double>(k));
    CHECK(std::round(cards[0].rows[k].steer[0].steer_deg) == steer[k]);
  }
}

TEST_CASE("the exact equation and the series part as the old manual says",
          "[procedure][published]") {
  // Elementary Manual for the Deviations of the Compass (1875): exact coefficients from those in
  // degrees; the series is good to 10' where the largest deviation is 7 deg and to 1 deg 30' at 21.
  const auto parted = [](double b, double c, double d, double e) {
    constexpr double kRad = std::numbers::pi / 180.0;
    const double sb = std::sin(b * kRad), sc = std::sin(c * kRad), sd = std::sin(d * kRad);
    const double se = std::sin(e * kRad);
    const double vb = 1.0 - std::cos(b * kRad), vc = 1.0 - std::cos(c * kRad);
    const double vd = 1.0 - std::cos(d * kRad);
    const SwingCoefficients exact = {
        0.0, (sb * (1.0 + 0.5 * sd + vb / 12.0 - vc / 4.0) + 0.5 * sc * se) / kRad,
        (sc * (1.0 - 0.5 * sd + vc / 12.0 - vb / 4.0) + 0.5 * sb * se) / kRad,
        sd * (1.0 + vd / 3.0) / kRad, se / kRad};
    const DeviationCurve series{DeviationForm::series, {0.0, b, c, d, e}};
    const DeviationCurve whole{DeviationForm::exact, exact};
    double most = 0.0, largest = 0.0;
    for (int z = 0; z < 360; ++z) {
      most = std::max(most, std::fabs(series.deviation_deg(z) - whole.deviation_deg(z)));
      largest = std::max(largest, std::fabs(whole.deviation_deg(z)));
    }
    return std::pair{largest, most};
  };
  const auto [small, small_apart] = parted(4.5, 2.0, 2.0, 0.5);
  CHECK(small == Approx(7.0).margin(0.7));
  CHECK(small_apart < 10.0 / 60.0);
  const auto [large, large_apart] = parted(15.5, 6.5, 5.5, 1.0);
  CHECK(large == Approx(21.0).margin(1.5));
  CHECK(large_apart < 1.5);
  CHECK(large_apart > small_apart);
}

TEST_CASE("the exact curve fulfils its equation", "[procedure][closed-form]") {
  const DeviationCurve curve{DeviationForm::exact, {2.0, 18.0, -9.0, 6.0, -3.0}};
  constexpr double kRad = std::numbers::pi / 180.0;
  for (double z = 0.0; z < 360.0; z += 7.0) {
    const auto v = curve.at(z);
    const double d = v.deviation_deg * kRad;
    const auto& k = curve.coefficients_deg;
    const double right =
        (k[0] * std::cos(d) + k[1] * std::sin(z * kRad) + k[2] * std::cos(z * kRad) +
         k[3] * std::sin(2.0 * z * kRad + d) + k[4] * std::cos(2.0 * z * kRad + d)) *
        kRad;
    CHECK(std::sin(d) == Approx(right).margin(1e-12));
    const double slope = (curve.deviation_deg(z + 1e-4) - curve.deviation_deg(z - 1e-4)) / 2e-4;
    CHECK(v.slope == Approx(slope).margin(1e-6));
    for (std::size_t j = 0; j < 5; ++j) {
      DeviationCurve moved = curve;
      moved.coefficients_deg[j] += 1e-4;
      const double by = (moved.deviation_deg(z) - v.deviation_deg) / 1e-4;
      CHECK(v.per_coefficient[j] == Approx(by).margin(1e-4));
    }
    // FOR = STEER + deviation(STEER), solved and put back.
    const double steer = indicated_on(curve, z, z);
    CHECK(std::remainder(steer + curve.deviation_deg(steer) - z, 360.0) ==
          Approx(0.0).margin(1e-8));
  }
}
