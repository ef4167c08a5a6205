// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "procedure/station_match_internal.h"
#include "procedure/station_turn.h"

using qn::sensor_model::find_stops;
using qn::test::StationTurn;

namespace {

constexpr double kShortest_s = 3.0;
// The readings are smoothed over 0.4 s to each side, and a stop may begin while the turning is
// still, or already, within a degree of it: at 4 degrees a second that is a quarter of a second.
constexpr double kEdge_s = 0.4 + 0.25 + 0.05;

StationTurn turn_over(std::size_t rows) {
  StationTurn turn{10.0};
  for (std::size_t r = 0; r < rows; ++r) {
    turn.stand(12.0);
    turn.turn(360.0 / static_cast<double>(rows), 8.0);
  }
  return turn;
}

void check_stops(const StationTurn& turn, double noise_deg, const std::vector<double>& expected) {
  const auto stops = find_stops(turn.time_s, turn.read(noise_deg), noise_deg, kShortest_s);
  REQUIRE(stops.size() == expected.size());
  REQUIRE(turn.stops_from_s.size() == expected.size());
  for (std::size_t k = 0; k < stops.size(); ++k) {
    INFO("stop " << k);
    // A stop's mean is better than its noise; a quarter degree is the turning at its edges.
    CHECK(std::abs(qn::wrap_180_deg(stops[k].heading_deg - expected[k])) < 0.25);
    const double edge = kEdge_s + 2.0 * noise_deg;
    CHECK(turn.time_s[stops[k].begin] == Approx(turn.stops_from_s[k]).margin(edge));
    CHECK(turn.time_s[stops[k].end - 1] == Approx(turn.stops_to_s[k]).margin(edge));
  }
}

std::vector<double> marks(std::size_t rows) {
  std::vector<double> out;
  for (std::size_t r = 0; r < rows; ++r) {
    out.push_back(10.0 + 360.0 * static_cast<double>(r) / static_cast<double>(rows));
  }
  return out;
}

}  // namespace

TEST_CASE("every stop of a turn is found where it was, through north", "[procedure][synthetic]") {
  check_stops(turn_over(8), 0.0, marks(8));
  check_stops(turn_over(12), 0.0, marks(12));
}

TEST_CASE("noise of half a degree hides no stop and makes none", "[procedure][synthetic]") {
  check_stops(turn_over(8), 0.5, marks(8));
  check_stops(turn_over(12), 0.5, marks(12));
}

TEST_CASE("stops are found turning anticlockwise as well", "[procedure][synthetic]") {
  StationTurn turn{10.0};
  turn.stand(12.0).turn(-45.0, 8.0).stand(12.0).turn(-45.0, 8.0).stand(12.0);
  check_stops(turn, 0.2, {10.0, 325.0, 280.0});
}

TEST_CASE("a pause shorter than asked for is not a stop", "[procedure][synthetic]") {
  StationTurn turn{0.0};
  turn.turn(40.0, 8.0).turn(0.0, 1.5).turn(40.0, 8.0);
  CHECK(find_stops(turn.time_s, turn.read(0.0), 0.0, kShortest_s).empty());
}

TEST_CASE("a turn that creeps at one degree a second has no stops", "[procedure][synthetic]") {
  StationTurn turn{0.0};
  turn.turn(360.0, 360.0);
  CHECK(find_stops(turn.time_s, turn.read(0.0), 0.0, kShortest_s).empty());
  CHECK(find_stops(turn.time_s, turn.read(0.2), 0.2, kShortest_s).empty());
}

TEST_CASE("creeping onto a mark does not move the stop", "[procedure][synthetic]") {
  // Half a degree a second at both ends: within a degree for two seconds, so up to two seconds of
  // creeping may belong to the stop, but its heading stays within half the tolerance of a degree.
  StationTurn turn{0.0};
  turn.turn(5.0, 10.0).stand(12.0).turn(5.0, 10.0).turn(20.0, 5.0).stand(12.0);
  const auto stops = find_stops(turn.time_s, turn.read(0.0), 0.0, kShortest_s);
  REQUIRE(stops.size() == 2);
  CHECK(stops[0].heading_deg == Approx(5.0).margin(0.25));
  CHECK(stops[1].heading_deg == Approx(30.0).margin(0.25));
}

TEST_CASE("a nudge of a degree on the mark leaves one stop", "[procedure][synthetic]") {
  StationTurn turn{0.0};
  turn.stand(10.0).turn(1.5, 1.0).stand(10.0).turn(30.0, 8.0).stand(10.0);
  CHECK(find_stops(turn.time_s, turn.read(0.1), 0.1, kShortest_s).size() == 2);
}

// Regression of 2026-11-25: the stops before and after were joined with what lies between.
TEST_CASE("swung off a mark and back: what was between is not called standing",
          "[procedure][synthetic]") {
  StationTurn turn{90.0};
  turn.stand(12.0).turn(-20.0, 4.0).turn(20.0, 4.0).stand(12.0).turn(30.0, 8.0).stand(12.0);
  const auto headings = turn.read(0.0);
  const auto stops = find_stops(turn.time_s, headings, 0.0, kShortest_s);
  // One stop or two for the mark taken twice; every sample of any stop was on its mark.
  REQUIRE(stops.size() >= 2);
  CHECK(stops.front().heading_deg == Approx(90.0).margin(0.25));
  CHECK(stops.back().heading_deg == Approx(120.0).margin(0.25));
  for (const auto& stop : stops) {
    for (std::size_t k = stop.begin; k < stop.end; ++k) {
      if (std::abs(headings[k] - stop.heading_deg) > 2.0) {
        FAIL("at " << turn.time_s[k] << " s it stood on " << headings[k] << ", not on "
                   << stop.heading_deg);
      }
    }
  }
}

TEST_CASE("two samples hold no stop", "[procedure][closed-form]") {
  CHECK(find_stops({0.0, 10.0}, {5.0, 5.0}, 0.1, kShortest_s).empty());
  CHECK(find_stops({}, {}, 0.1, kShortest_s).empty());
}
