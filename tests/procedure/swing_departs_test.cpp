// SPDX-License-Identifier: Apache-2.0
// A compass that five coefficients do not follow, and words that must not say more than is known.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <utility>

#include "procedure/swing_adjust.h"
#include "procedure/swing_card.h"
#include "procedure/swing_maker.h"
#include "vocab/angle.h"
#include "vocab/heading.h"

using namespace qn;
using namespace qn::test;

namespace {

// 24 marks both ways, read to 1 degree, with a fourth harmonic of so many degrees.
std::vector<SwingReading> wavy(double fourth_deg, const std::string& compass) {
  SwingCase drawn;
  drawn.stations = 24;
  drawn.both_turns = true;
  drawn.size = 0.5;
  std::vector<SwingReading> out = make_swing(drawn, 99).readings;
  for (SwingReading& r : out) {
    r.compass = compass;
    const double z = r.station_deg * std::numbers::pi / 180.0;
    r.indicated_deg =
        std::round(std::fmod(r.indicated_deg + fourth_deg * std::sin(4.0 * z) + 360.0, 360.0));
  }
  return out;
}

SwingCompass only(const std::vector<SwingReading>& readings) {
  const auto solution = solve_swing(readings, {});
  REQUIRE(solution);
  return solution.value().compasses.at(0);
}

}  // namespace

TEST_CASE("a curve that the readings do not follow is never within its limit", "[procedure]") {
  const SwingCompass sound = only(wavy(0.0, "standby"));
  CHECK_FALSE(swing_departs(sound));
  CHECK(sound.verdict.state == VerdictState::within);
  const SwingCompass bent = only(wavy(4.5, "standby"));
  CHECK(swing_departs(bent));
  CHECK(bent.verdict.state == VerdictState::unproven);
  CHECK(bent.verdict.do_next.find("residuals") != std::string::npos);
}

TEST_CASE("no limit is assumed for a remote sensor, whatever it is called", "[procedure]") {
  for (const char* name : {"remote standby magnetometer", "standby sensor", "remote"}) {
    INFO(name);
    const SwingCompass compass = only(wavy(0.0, name));
    CHECK_FALSE(compass.verdict.limit.has_value());
    CHECK(compass.verdict.state == VerdictState::unproven);
  }
  CHECK(only(wavy(0.0, "Standby compass")).verdict.limit.has_value());
}

TEST_CASE("with A taken off a card is no better known than with A on it", "[procedure]") {
  const auto solution = solve_swing(wavy(0.0, "standby"), {});
  REQUIRE(solution);
  CardOptions with;
  CardOptions without = with;
  without.a_removed = true;
  const auto a = make_cards(solution.value(), with);
  const auto b = make_cards(solution.value(), without);
  for (std::size_t row = 0; row < a.at(0).rows.size(); ++row) {
    const auto width = [&](const std::vector<CorrectionCard>& cards) {
      const auto& band = cards.at(0).rows[row].steer.at(0).steer_95_deg;
      return band.second - band.first;
    };
    CHECK(width(b) == Approx(width(a)).epsilon(0.05));
  }
}

TEST_CASE("a lag between the turns that may pass the limit proves nothing",
          "[procedure][synthetic]") {
  const auto read = [](double lag_deg) {
    std::vector<SwingReading> readings;
    for (const auto& [turn, sign] :
         {std::pair{SwingTurn::clockwise, 1.0}, std::pair{SwingTurn::counterclockwise, -1.0}}) {
      for (int s = 0; s < 360; s += 30) {
        SwingReading one;
        one.station_deg = s;
        one.indicated_deg =
            wrap_360_deg(s - 3.0 * std::sin(Angle::degrees(s).in_rad()) + sign * 0.5 * lag_deg);
        one.compass = "standby";
        one.turn = turn;
        readings.push_back(one);
      }
    }
    const auto solved = solve_swing(readings, {});
    REQUIRE(solved.has_value());
    return solved.value().compasses.at(0);
  };
  const SwingCompass sound = read(0.0);
  CHECK(sound.verdict.state == VerdictState::within);
  CHECK(swing_lag_deg(sound) == 0.0);
  const SwingCompass sticks = read(14.0);
  CHECK(swing_lag_deg(sticks) > 7.0);
  CHECK(sticks.verdict.state == VerdictState::unproven);
}

TEST_CASE("a card whose A was taken off is judged by what is left", "[procedure][synthetic]") {
  // B and E add up on west: 8.5 with A, 11 without it, of a limit of 10.
  std::vector<SwingReading> readings;
  for (int s = 0; s < 360; s += 15) {
    SwingReading one;
    const double z = Angle::degrees(s).in_rad();
    one.indicated_deg = s;
    one.station_deg = wrap_360_deg(s + 2.5 + 6.0 * std::sin(z) + 5.0 * std::cos(2.0 * z));
    one.compass = "standby";
    readings.push_back(one);
  }
  SwingOptions given;
  given.rounding_deg = 0.1;
  given.reading_sigma_deg = given.station_sigma_deg = given.north_sigma_deg = 0.1;
  given.hysteresis_sigma_deg = 0.1;
  const auto solved = solve_swing(readings, given);
  REQUIRE(solved.has_value());
  CardOptions less;
  less.a_removed = true;
  const auto with_a = make_cards(solved.value(), {});
  const auto without = make_cards(solved.value(), less);
  INFO(with_a.at(0).verdict << " " << without.at(0).verdict);
  CHECK(with_a.at(0).verdict.find("Within") == 0);
  CHECK(without.at(0).verdict.find("Over") == 0);
  double largest = 0.0;
  for (const CardRow& row : without.at(0).rows) {
    largest = std::max(largest, std::abs(row.steer.at(0).deviation_deg));
  }
  CHECK(largest > 10.0);
}

TEST_CASE("no screw is turned for a compass that does not move", "[procedure]") {
  std::vector<SwingReading> readings;
  for (int s = 0; s < 360; s += 90) {
    SwingReading one;
    one.station_deg = s;
    one.indicated_deg = 47.0;
    one.compass = "standby";
    readings.push_back(one);
  }
  const auto refused = adjust_swing(readings, {});
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().what == "standby shows 047 on every heading: it does not move");
  readings.resize(1);  // on one heading nothing can be said of that
  CHECK(adjust_swing(readings, {}).has_value());
}
