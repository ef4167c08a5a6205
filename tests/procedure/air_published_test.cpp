// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "procedure/air_check.h"

using namespace qn;

namespace {

constexpr double kRad = std::numbers::pi / 180.0;

AirLeg leg(std::optional<double> indicated_deg, std::optional<double> track_deg, double speed_kt) {
  AirLeg out;
  out.indicated_deg = indicated_deg;
  out.track_deg = track_deg;
  out.groundspeed_kt = speed_kt;
  return out;
}

AirOptions magnetic() {
  AirOptions o;
  o.tracks_are = TrackNorth::magnetic;
  return o;
}

}  // namespace

TEST_CASE("three legs of GPS alone give airspeed, wind and headings", "[procedure][published]") {
  // D. Gray, "Using GPS to accurately establish True Airspeed" (June 1998): ground speeds and
  // tracks (140, 192), (112, 283), (120, 20); printed TAS 130, wind 20.6 from 314.8, headings 200,
  // 287.8, 11.7. All digits: the closed form of the same three circles, computed apart from this
  // program.
  const auto solved =
      solve_air({leg({}, 192.0, 140.0), leg({}, 283.0, 112.0), leg({}, 20.0, 120.0)}, AirOptions{});
  REQUIRE(solved.has_value());
  const AirSolution& s = solved.value();
  REQUIRE(s.wind_known);
  CHECK(s.tas_kt == Approx(129.99852349653085).margin(5e-14 * 200.0));  // of doubles, not of text
  CHECK(s.wind_kt == Approx(20.633444022957).margin(5e-13));
  CHECK(s.wind_from_deg == Approx(314.758446667).margin(5e-10));
  const double heading[3] = {199.670593741, 287.792125444, 11.713025865};
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(*s.legs[i].true_heading_deg == Approx(heading[i]).margin(5e-10));
    CHECK(*s.legs[i].along_kt == Approx(0.0).margin(1e-8));
    CHECK_FALSE(s.legs[i].residual_deg.has_value());
  }
  // As printed: to the knot, and to a tenth.
  CHECK(std::round(s.tas_kt) == 130.0);
  CHECK(std::round(10.0 * s.wind_kt) == 206.0);
  CHECK(std::round(10.0 * s.wind_from_deg) == 3148.0);
  CHECK(std::round(*s.legs[0].true_heading_deg) == 200.0);
  CHECK(std::round(10.0 * *s.legs[1].true_heading_deg) == 2878.0);
  CHECK(std::round(10.0 * *s.legs[2].true_heading_deg) == 117.0);
  CHECK(s.verdict.state == VerdictState::unproven);
  for (const bool told : s.supported) CHECK_FALSE(told);
}

TEST_CASE("a wind of 20 on four headings", "[procedure][published]") {
  // Horton, "Finding TAS from GPS data": airspeed 100, wind 20 from the west, headings 0, 90, 180,
  // 270: ground speeds 102 (101.98), 120, 102, 80; their mean is 101 and not the airspeed.
  const double speed[4] = {std::hypot(100.0, 20.0), 120.0, std::hypot(100.0, 20.0), 80.0};
  const double aside = std::atan2(20.0, 100.0) / kRad;
  const double track[4] = {aside, 90.0, 180.0 - aside, 270.0};
  CHECK(aside == Approx(11.310).margin(5e-4));
  CHECK(track[2] == Approx(168.690).margin(5e-4));
  CHECK(speed[0] == Approx(101.98).margin(5e-3));
  CHECK((speed[0] + speed[1] + speed[2] + speed[3]) / 4.0 == Approx(101.0).margin(0.02));
  std::vector<AirLeg> legs;
  for (std::size_t k = 0; k < 4; ++k) {
    CHECK(std::round(speed[k]) == std::array<double, 4>{102, 120, 102, 80}[k]);
    legs.push_back(leg(90.0 * static_cast<double>(k), track[k], speed[k]));
  }
  const auto solved = solve_air(legs, magnetic());
  REQUIRE(solved.has_value());
  const AirSolution& s = solved.value();
  REQUIRE(s.wind_known);
  CHECK(s.tas_kt == Approx(100.0).epsilon(1e-10));
  CHECK(s.wind_kt == Approx(20.0).epsilon(1e-9));
  CHECK(s.wind_from_deg == Approx(270.0).margin(1e-7));
  // Four legs 90 degrees apart: A, B, C and one combination of D and E.
  for (std::size_t j = 0; j < 5; ++j) {
    CHECK(s.curve.coefficients_deg[j] == Approx(0.0).margin(1e-8));
  }
  CHECK((s.supported[0] && s.supported[1] && s.supported[2]));
  CHECK_FALSE(s.supported[3]);
  REQUIRE(s.combination.has_value());
  CHECK(std::fabs(s.combination->of_d) < 0.02);  // on N, E, S and W it is E
}

TEST_CASE("three ground speeds 120 degrees apart", "[procedure][published]") {
  // Rule attributed to the Aviation Formulary (ground speeds only). Its check: airspeed 150, wind
  // 25 blowing to 100, headings 40, 160, 280: 163.9359631, 163.9359631 and 125.0.
  const double v[3] = {163.9359631, 163.9359631, 125.0};
  double vms = 0.0;
  for (const double x : v) vms += x * x / 3.0;
  double mu = 0.0;
  for (const double x : v) mu += std::pow(x * x / vms - 1.0, 2) / 6.0;
  const double b = 0.5 + std::sqrt(0.25 - mu);
  const double by_rule[2] = {std::sqrt(vms * b), std::sqrt(vms * mu / b)};
  CHECK(by_rule[0] == Approx(150.0).margin(1e-5));
  CHECK(by_rule[1] == Approx(25.0).margin(1e-5));
  const auto solved =
      solve_air({leg(40.0, {}, v[0]), leg(160.0, {}, v[1]), leg(280.0, {}, v[2])}, magnetic());
  REQUIRE(solved.has_value());
  const AirSolution& s = solved.value();
  REQUIRE(s.wind_known);
  CHECK(s.tas_kt == Approx(by_rule[0]).margin(1e-5));
  CHECK(s.wind_kt == Approx(by_rule[1]).margin(1e-5));
  // Without tracks nothing tells a turned wind from A: neither is claimed.
  CHECK(std::fabs(std::remainder(s.wind_from_deg - 280.0, 360.0)) < 1e-4);
  CHECK_FALSE(s.supported[0]);
}

TEST_CASE("the wind triangle", "[procedure][published]") {
  // From a public text on wind triangles: TAS 90, wind 270 at 10, course 000: ground speed 89.4,
  // heading 354 (6.3794 degrees into the wind, 89.4427).
  const double correction = std::asin(10.0 / 90.0) / kRad;
  CHECK(correction == Approx(6.3794).margin(5e-5));
  std::vector<AirLeg> legs;
  for (const double course : {0.0, 90.0, 180.0, 270.0}) {
    // Course and wind by the sine rule; the solver has to find the triangle's other sides.
    const double into = std::asin(10.0 / 90.0 * std::sin((270.0 - course) * kRad)) / kRad;
    const double speed = 90.0 * std::cos(into * kRad) - 10.0 * std::cos((270.0 - course) * kRad);
    legs.push_back(leg(std::fmod(course + into + 360.0, 360.0), course, speed));
  }
  CHECK(legs[0].groundspeed_kt == Approx(89.4427).margin(5e-5));
  const auto solved = solve_air(legs, magnetic());
  REQUIRE(solved.has_value());
  const AirSolution& s = solved.value();
  CHECK(s.tas_kt == Approx(90.0).epsilon(1e-9));
  CHECK(s.wind_kt == Approx(10.0).epsilon(1e-8));
  CHECK(s.wind_from_deg == Approx(270.0).margin(1e-7));
  CHECK(*s.legs[0].true_heading_deg == Approx(353.6206).margin(5e-5));
  // As printed.
  CHECK(std::round(10.0 * legs[0].groundspeed_kt) == 894.0);
  CHECK(std::round(*s.legs[0].true_heading_deg) == 354.0);
}
