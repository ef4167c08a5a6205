// SPDX-License-Identifier: Apache-2.0
#include "procedure/air_check.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/air_maker.h"
#include "procedure/air_plan.h"

using namespace qn;
using namespace qn::test;

namespace {

AirOptions east_6() {
  AirOptions o;
  o.variation_deg = 6.0;
  return o;
}

const std::vector<double> kEight = {0, 45, 90, 135, 180, 225, 270, 315};

bool mentions(const std::vector<std::string>& lines, const std::string& words) {
  for (const std::string& line : lines) {
    if (line.find(words) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("a quiet flight gives back what it was made of", "[procedure][closed-form]") {
  const auto solved = solve_air(quiet_legs(kEight), east_6());
  REQUIRE(solved.has_value());
  const AirSolution& s = solved.value();
  REQUIRE(s.wind_known);
  CHECK(s.tas_kt == Approx(110.0).margin(0.1));
  CHECK(s.wind_to_kt[0] == Approx(14.0).margin(0.1));
  CHECK(s.wind_to_kt[1] == Approx(-9.0).margin(0.1));
  // Beliefs of 3 degrees on D and E, 30 on B and C, pull by a few hundredths.
  const double truth[5] = {2.0, 5.0, -3.0, 1.5, -1.0};
  for (std::size_t j = 0; j < 5; ++j) {
    CHECK(s.supported[j]);
    CHECK(s.curve.coefficients_deg[j] == Approx(truth[j]).margin(0.12));
  }
  CHECK((s.gross.empty() && s.suspects.empty()));
  CHECK(s.verdict.state == VerdictState::unproven);  // no limit
}

TEST_CASE("turning the whole flight turns the wind and nothing else", "[procedure][closed-form]") {
  auto legs = quiet_legs(kEight);
  const auto before = solve_air(legs, east_6());
  for (AirLeg& leg : legs) leg.track_deg = std::fmod(*leg.track_deg + 25.0, 360.0);
  AirOptions turned = east_6();
  turned.variation_deg = 31.0;
  const auto after = solve_air(legs, turned);
  REQUIRE((before.has_value() && after.has_value()));
  CHECK(after.value().wind_from_deg ==
        Approx(std::fmod(before.value().wind_from_deg + 25.0, 360.0)).margin(1e-6));
  for (std::size_t j = 0; j < 5; ++j) {
    CHECK(after.value().curve.coefficients_deg[j] ==
          Approx(before.value().curve.coefficients_deg[j]).margin(1e-6));
  }
}

TEST_CASE("two opposite legs do not tell the wind", "[procedure][closed-form]") {
  for (const std::vector<double>& m :
       {std::vector<double>{30, 210}, std::vector<double>{30, 210, 31, 209}}) {
    const auto solved = solve_air(quiet_legs(m), east_6());
    REQUIRE(solved.has_value());
    const AirSolution& s = solved.value();
    CHECK_FALSE(s.wind_known);
    CHECK(s.verdict.state == VerdictState::unproven);
    CHECK(s.verdict.because.find("along one line") != std::string::npos);
    CHECK(s.verdict.do_next.find("across") != std::string::npos);
  }
  const auto one = solve_air(quiet_legs({30}), east_6());
  CHECK_FALSE(one.value().wind_known);
  const auto alike = solve_air(quiet_legs({30, 35, 28}), east_6());
  CHECK_FALSE(alike.value().wind_known);
  CHECK(alike.value().verdict.because.find("same way") != std::string::npos);
}

TEST_CASE("the wrong north is noticed by the size of the variation, and nothing is switched",
          "[procedure][synthetic]") {
  auto legs = quiet_legs(kEight, 14.0);
  AirOptions options;
  options.variation_deg = 14.0;
  CHECK_FALSE(mentions(solve_air(legs, options).value().remarks, "--tracks-are"));
  // The tracks are magnetic, and were taken as true.
  for (AirLeg& leg : legs) leg.track_deg = std::fmod(*leg.track_deg - 14.0 + 360.0, 360.0);
  const auto wrong = solve_air(legs, options);
  CHECK(wrong.value().curve.coefficients_deg[0] == Approx(2.0 - 14.0).margin(0.2));
  CHECK(mentions(wrong.value().remarks, "--tracks-are magnetic"));
  options.tracks_are = TrackNorth::magnetic;
  const auto right = solve_air(legs, options);
  CHECK(right.value().curve.coefficients_deg[0] == Approx(2.0).margin(0.2));
  CHECK(right.value().remarks.empty());
  AirOptions as_true;
  as_true.variation_deg = 14.0;
  const auto from_true = solve_air(quiet_legs(kEight, 14.0), as_true);
  CHECK(right.value().wind_from_deg == Approx(from_true.value().wind_from_deg).margin(1e-6));
}

TEST_CASE("without the variation A is not claimed", "[procedure][closed-form]") {
  const auto solved = solve_air(quiet_legs(kEight), AirOptions{});
  const AirSolution& s = solved.value();
  CHECK(s.wind_known);
  CHECK_FALSE(s.supported[0]);
  CHECK((s.supported[1] && s.supported[2]));
  CHECK_FALSE(s.worst_known);
  CHECK(s.verdict.do_next.find("--variation-deg") != std::string::npos);
  CHECK(mentions(s.cannot_prove, "the variation is not known"));
  CHECK_FALSE(mentions(s.cannot_prove, "the headings flown cannot tell"));
}

TEST_CASE("a display that shows true headings", "[procedure][closed-form]") {
  // The same flight, its display turned by the variation: B and C keep their sum of squares.
  auto legs = quiet_legs(kEight, 14.0);
  const auto magnetic = legs;
  for (AirLeg& leg : legs) leg.indicated_deg = std::fmod(*leg.indicated_deg + 14.0, 360.0);
  AirOptions options;
  options.variation_deg = 14.0;
  CHECK(mentions(solve_air(legs, options).value().remarks, "--headings-are true"));
  options.headings_are = ShownNorth::true_north;
  const auto shown_true = solve_air(legs, options);
  const auto& k = shown_true.value().curve.coefficients_deg;
  CHECK(k[0] == Approx(2.0).margin(0.2));
  CHECK(std::hypot(k[1], k[2]) == Approx(std::hypot(5.0, 3.0)).margin(0.2));
  CHECK(shown_true.value().remarks.empty());
  // True tracks beside true headings need no variation at all.
  AirOptions without = options;
  without.variation_deg.reset();
  CHECK(solve_air(legs, without).value().worst_known);
  // And the other way round: true is said of a display that shows magnetic headings.
  CHECK(mentions(solve_air(magnetic, options).value().remarks, "leave out --headings-are true"));
}

TEST_CASE("the next legs are those that narrow the band", "[procedure][closed-form]") {
  // Four legs on N, E, S, W: D is unseen, so the next legs have to lie between.
  const auto four = solve_air(quiet_legs({0, 90, 180, 270}), east_6());
  const AirSolution& s = four.value();
  REQUIRE(s.next_legs_deg.size() == 2);
  for (const double z : s.next_legs_deg) {
    const double from_axis = std::fabs(std::remainder(z, 90.0));
    CHECK(from_axis > 15.0);
  }
  CHECK(s.next_worst_sigma_deg < 0.7 * s.now_worst_sigma_deg);
  std::vector<double> six = {0, 90, 180, 270};
  for (const double z : s.next_legs_deg) six.push_back(z);
  const auto after = solve_air(quiet_legs(six), east_6());
  CHECK(after.value().supported[3]);
}

TEST_CASE("wind that changes is told by return legs and stands in the bands otherwise",
          "[procedure][synthetic]") {
  std::vector<double> there_and_back = {0, 90, 180, 270, 0, 90, 180, 270};
  auto legs = quiet_legs(there_and_back);
  for (std::size_t i = 0; i < legs.size(); ++i) {
    legs[i].from_s = 600.0 * static_cast<double>(i);
    legs[i].to_s = legs[i].from_s + 120.0;
  }
  const auto solved = solve_air(legs, east_6());
  REQUIRE(solved.value().wind_change_kt_per_hour.has_value());
  CHECK((*solved.value().wind_change_kt_per_hour)[0] == Approx(0.0).margin(0.1));
  legs.resize(4);
  const auto once = solve_air(legs, east_6());
  CHECK_FALSE(once.value().wind_change_kt_per_hour.has_value());
  CHECK(mentions(once.value().cannot_prove, "Whether the wind changed"));
}

TEST_CASE("a plan is at least as good as legs spread evenly", "[procedure][closed-form]") {
  AirPlanOptions options;
  options.tas_kt = 100.0;
  options.wind_from_deg = 270.0;
  options.wind_kt = 20.0;
  options.assumed.variation_deg = 3.0;
  for (const double minutes : {12.0, 24.0}) {
    options.minutes = minutes;
    const auto plan = plan_air(options);
    REQUIRE(plan.has_value());
    CHECK(plan.value().legs.size() == static_cast<std::size_t>(minutes / 3.0));
    CHECK(plan.value().curve_sigma_deg <= plan.value().even_sigma_deg + 1e-9);
    CHECK(mentions(plan.value().cautions, "Look out"));
    CHECK(mentions(plan.value().cautions, "ball in the middle"));
  }
  options.minutes = 6.0;
  CHECK(plan_air(options).error().where == "option --minutes");
  options.minutes = 24.0;
  options.wind_kt = 95.0;
  CHECK(plan_air(options).error().where == "option --wind-kt");
}

TEST_CASE("sizes that cannot be are refused by their option", "[procedure][closed-form]") {
  AirOptions options = east_6();
  options.sideslip_sigma_deg = 0.0;
  CHECK(solve_air(quiet_legs(kEight), options).error().where == "option --sideslip-sigma-deg");
  CHECK(solve_air({}, east_6()).error().kind == ErrorKind::BadInput);
}
