// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include "report/air_plan_sheet.h"
#include "report/air_sheet.h"
#include "report/ground_velocity_plot.h"
#include "report/sheet_reading.h"

using namespace qn;
using namespace qn::test;

namespace {

/// Eight legs at 100 kt in a wind of 20 kt from the west, the display 3 sin z off; without the
/// wind's noise, rounded as a person reads.
std::vector<AirLeg> flown() {
  std::vector<AirLeg> legs;
  for (int k = 0; k < 8; ++k) {
    const double heading = 45.0 * k * 0.017453292519943295;
    const double east = 100.0 * std::sin(heading) + 20.0;
    const double north = 100.0 * std::cos(heading);
    AirLeg leg;
    leg.indicated_deg = std::fmod(std::round(45.0 * k - 3.0 * std::sin(heading)) + 360.0, 360.0);
    leg.track_deg = std::fmod(std::atan2(east, north) / 0.017453292519943295 + 360.0, 360.0);
    leg.groundspeed_kt = std::hypot(east, north);
    legs.push_back(leg);
  }
  return legs;
}

AirSolution solved(const std::vector<AirLeg>& legs, double limit_deg) {
  AirOptions options;
  options.variation_deg = 0.0;
  options.limit = Limit{Angle::degrees(limit_deg), "own limit"};
  auto air = solve_air(legs, options);
  REQUIRE(air.has_value());
  return std::move(air).value();
}

}  // namespace

TEST_CASE("the sheet of an air check says what was found, on A4 and Letter", "[report]") {
  const std::vector<AirLeg> legs = flown();
  const AirSolution air = solved(legs, 1.0);
  const std::vector<FlightStretch> stretches = {
      {0.0, 90.0, false, "heading changed by 90 deg", {}}};
  for (const bool letter : {false, true}) {
    auto drawn = draw_air_sheet({air, legs, stretches, {"Tracks are true."}}, context_for(letter),
                                PageFormat::svg);
    REQUIRE(drawn.has_value());
    const PageRecord& record = drawn.value();
    for (const char* words :
         {"Brindle", "In flight the largest deviation is", "wind 20.0 kt from 270", "N true",
          "wind", "Coefficients", "hard iron fore and aft", "Deviation over the indicated heading",
          "limit ±1.0°", "The legs", "What this flight cannot prove", "constant sideslip",
          "Not for navigation", "heading changed by 90°", "Tracks are true", "signature"}) {
      INFO(words);
      CHECK(containing(record, words) != nullptr);
    }
    check_margins_and_overlaps(record);
  }
}

TEST_CASE("magnetic tracks are drawn from true north with the wind, where the variation is known",
          "[report]") {
  constexpr double kVariation_deg = 12.0;
  std::vector<AirLeg> of_true = flown();
  of_true[0].name = "first";
  std::vector<AirLeg> of_magnetic = of_true;
  for (AirLeg& leg : of_magnetic) leg.track_deg = *leg.track_deg - kVariation_deg + 360.0;
  const auto drawn = [&](const std::vector<AirLeg>& legs, TrackNorth north) {
    AirOptions options;
    options.variation_deg = kVariation_deg;
    options.tracks_are = north;
    const auto air = solve_air(legs, options);
    REQUIRE(air.has_value());
    auto sheet = draw_air_sheet(
        {air.value(), legs, {}, {}, north == TrackNorth::magnetic, false, kVariation_deg},
        context_for(false), PageFormat::svg);
    REQUIRE(sheet.has_value());
    return std::move(sheet).value();
  };
  const PageRecord as_true = drawn(of_true, TrackNorth::true_north);
  const PageRecord as_magnetic = drawn(of_magnetic, TrackNorth::magnetic);
  CHECK(containing(as_magnetic, "N true") != nullptr);
  // The same flight: the first leg's name stands at the same place beside the same circle.
  const auto* one = containing(as_true, "first");
  const auto* other = containing(as_magnetic, "first");
  REQUIRE((one != nullptr && other != nullptr));
  CHECK(other->ink_box.left == Approx(one->ink_box.left).margin(1.0));
  CHECK(other->ink_box.top == Approx(one->ink_box.top).margin(1.0));
}

TEST_CASE("an air check that tells nothing still has a sheet", "[report]") {
  std::vector<AirLeg> legs = flown();
  legs.resize(1);
  const AirSolution air = solved(legs, 5.0);
  REQUIRE_FALSE(air.wind_known);
  auto drawn = draw_air_sheet({air, legs, {}, {}}, context_for(false), PageFormat::svg);
  REQUIRE(drawn.has_value());
  CHECK(containing(drawn.value(), "Wind and deviation are not known") != nullptr);
  check_margins_and_overlaps(drawn.value());
}

TEST_CASE("the circle of equal airspeed is round and its middle is the wind", "[report]") {
  auto opened = PageCanvas::open(PageFormat::svg, kA4, {"plot", ""});
  REQUIRE(opened.has_value());
  GroundVelocities seen;
  seen.circle = WindCircle{20.0, 0.0, 100.0};
  seen.legs = {
      {120.0, 0.0, "east", true}, {20.0, 100.0, "north", true}, {-80.0, 0.0, "west", false}};
  ground_velocity_plot(opened.value(), {50.0, 50.0, 350.0, 250.0}, seen);
  const auto record = opened.value().finish();
  REQUIRE(record.has_value());
  const auto middle = [&](const char* words) {
    const DrawnText* text = containing(record.value(), words);
    REQUIRE(text != nullptr);
    return PagePoint{0.5 * (text->ink_box.left + text->ink_box.right),
                     0.5 * (text->ink_box.top + text->ink_box.bottom)};
  };
  // The legs stand where their velocities are: east to west is twice the airspeed, north is up.
  CHECK(middle("east").x > middle("north").x);
  CHECK(middle("west").x < middle("north").x);
  CHECK(middle("north").y < middle("east").y);
  CHECK(middle("east").y == Approx(middle("west").y).margin(1.0));
  CHECK(middle("wind").x < middle("north").x);  // beside its tail, west of the middle
}

TEST_CASE("the plan of an air check shows cautions, headings and room to write", "[report]") {
  AirPlanOptions options;
  options.tas_kt = 100.0;
  options.wind_from_deg = 270.0;
  options.wind_kt = 20.0;
  options.minutes = 24.0;
  options.assumed.variation_deg = 3.0;
  const auto plan = plan_air(options);
  REQUIRE(plan.has_value());
  for (const bool letter : {false, true}) {
    auto drawn = draw_air_plan_sheet(plan.value(), true, context_for(letter), PageFormat::svg);
    REQUIRE(drawn.has_value());
    const PageRecord& record = drawn.value();
    for (const char* words : {"Before you start", "Look out", "Fly these headings by the display",
                              "tracks are true", "ground speed", "What this will tell"}) {
      INFO(words);
      CHECK(containing(record, words) != nullptr);
    }
    for (const PlannedLeg& leg : plan.value().legs) {
      char text[8];
      std::snprintf(text, sizeof text, "%03.0f", leg.indicated_deg);
      CHECK(containing(record, text) != nullptr);
    }
    check_margins_and_overlaps(record);
  }
}
