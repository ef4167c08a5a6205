// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <optional>
#include <vector>

#include "procedure/station_match_internal.h"
#include "simulate/random.h"
#include "vocab/heading.h"

using qn::sensor_model::align_stations;
using qn::sensor_model::StationAlignment;
using Matches = std::vector<std::optional<std::size_t>>;

namespace {

std::vector<double> rose(std::size_t rows) {
  std::vector<double> out;
  for (std::size_t r = 0; r < rows; ++r) {
    out.push_back(360.0 * static_cast<double>(r) / static_cast<double>(rows));
  }
  return out;
}

// What a sensor turned by `turn_deg` reads on each station, with its own errors.
std::vector<double> read_on(const std::vector<double>& stations, double turn_deg,
                            double noise_deg) {
  qn::simulate::Random random{7};
  std::vector<double> out;
  for (const double s : stations) {
    out.push_back(qn::wrap_360_deg(s + turn_deg + noise_deg * random.normal()));
  }
  return out;
}

Matches in_order(std::size_t rows) {
  Matches out;
  for (std::size_t r = 0; r < rows; ++r) out.emplace_back(r);
  return out;
}

void check_turn(const StationAlignment& match, double turn_deg, double margin_deg) {
  CHECK(std::abs(qn::wrap_180_deg(match.turn_deg - turn_deg)) <= margin_deg);
}

}  // namespace

TEST_CASE("each stop meets its row, whatever the sensor's turn and noise",
          "[procedure][synthetic]") {
  for (const std::size_t rows : {std::size_t{8}, std::size_t{12}}) {
    for (const double turn : {0.0, 17.0, -17.0, 45.0}) {
      for (const double noise : {0.0, 2.0}) {
        INFO(rows << " rows, turned by " << turn << ", noise " << noise);
        const auto match = align_stations(read_on(rose(rows), turn, noise), rose(rows));
        CHECK(match.stop_of_row == in_order(rows));
        CHECK(match.extra_stops.empty());
        CHECK_FALSE(match.backwards);
        CHECK_FALSE(match.ambiguous);
        check_turn(match, turn, 3.0 * noise + 1e-9);  // it is that of one stop and one row
        CHECK(match.spread_deg <= 3.0 * noise + 1e-9);
      }
    }
  }
}

// Regression of 2026-11-25: the cost of a turn grew without end.
TEST_CASE("a sensor mounted sideways or backwards shifts nothing when every stop is there",
          "[procedure][synthetic]") {
  // Shifted by one place, two more things would be missing; a large turn alone must not cost that.
  for (const double turn : {90.0, 135.0, 180.0, -90.0}) {
    INFO("turned by " << turn);
    CHECK(align_stations(read_on(rose(12), turn, 0.0), rose(12)).stop_of_row == in_order(12));
    CHECK(align_stations(read_on(rose(8), turn, 0.0), rose(8)).stop_of_row == in_order(8));
  }
}

TEST_CASE("a missed stop leaves its row empty and shifts no other", "[procedure][synthetic]") {
  for (const std::size_t rows : {std::size_t{8}, std::size_t{12}}) {
    for (const double turn : {0.0, 17.0}) {
      for (std::size_t missed = 0; missed < rows; ++missed) {
        INFO(rows << " rows, turned by " << turn << ", row " << missed << " missed");
        auto stops = read_on(rose(rows), turn, 1.0);
        stops.erase(stops.begin() + static_cast<std::ptrdiff_t>(missed));
        Matches expected;
        for (std::size_t r = 0; r < rows; ++r) {
          if (r == missed) {
            expected.emplace_back(std::nullopt);
          } else {
            expected.emplace_back(r < missed ? r : r - 1);
          }
        }
        const auto match = align_stations(stops, rose(rows));
        // Without the first or the last mark a turn by one place more or less fits as well.
        if (missed > 0 && missed + 1 < rows) CHECK(match.stop_of_row == expected);
        if (match.stop_of_row != expected) CHECK(match.ambiguous);
        CHECK(match.extra_stops.empty());
        CHECK_FALSE(match.backwards);
      }
    }
  }
}

TEST_CASE("an extra stop, between marks or on a mark again, is left over",
          "[procedure][synthetic]") {
  for (const std::size_t rows : {std::size_t{8}, std::size_t{12}}) {
    for (std::size_t after = 0; after < rows; ++after) {
      for (const double off : {0.0, 14.0}) {  // the mark again; half-way to the next
        INFO(rows << " rows, extra stop after row " << after << ", off by " << off);
        auto stops = read_on(rose(rows), 17.0, 0.0);
        const double again = qn::wrap_360_deg(stops[after] + off);
        stops.insert(stops.begin() + static_cast<std::ptrdiff_t>(after) + 1, again);
        const auto match = align_stations(stops, rose(rows));
        REQUIRE(match.extra_stops.size() == 1);
        // Of two stops on one mark either may be the one used.
        const std::size_t extra = match.extra_stops[0];
        CHECK((extra == after + 1 || (off == 0.0 && extra == after)));
        for (std::size_t r = 0; r < rows; ++r) {
          REQUIRE(match.stop_of_row[r]);
          CHECK(stops[*match.stop_of_row[r]] ==
                Approx(qn::wrap_360_deg(rose(rows)[r] + 17.0)).margin(1e-9));
        }
      }
    }
  }
}

TEST_CASE("one missed and another repeated do not shift what lies between",
          "[procedure][synthetic]") {
  auto stops = read_on(rose(12), 4.0, 0.0);
  stops.insert(stops.begin() + 9, stops[8]);  // row 8 (240 degrees) twice
  stops.erase(stops.begin() + 3);             // row 3 (90 degrees) never
  const auto match = align_stations(stops, rose(12));
  CHECK_FALSE(match.stop_of_row[3]);
  CHECK(match.extra_stops.size() == 1);
  for (const std::size_t r : {0U, 1U, 2U}) CHECK(match.stop_of_row[r] == r);
  for (const std::size_t r : {4U, 5U, 6U, 7U}) CHECK(match.stop_of_row[r] == r - 1);
  for (const std::size_t r : {9U, 10U, 11U}) CHECK(match.stop_of_row[r] == r);
}

TEST_CASE("a row written twice meets the stop taken twice", "[procedure][synthetic]") {
  const std::vector<double> rows{0, 45, 90, 90, 135, 180, 225, 270, 315};
  const auto match = align_stations(read_on(rows, 17.0, 0.5), rows);
  CHECK(match.stop_of_row == in_order(rows.size()));
}

TEST_CASE("closing the turn on the first mark is one stop too many, not a shift",
          "[procedure][synthetic]") {
  auto stops = read_on(rose(12), 17.0, 0.0);
  stops.push_back(stops.front());
  const auto match = align_stations(stops, rose(12));
  CHECK(match.stop_of_row == in_order(12));
  CHECK(match.extra_stops == std::vector<std::size_t>{12});
}

TEST_CASE("readings that turn the other way round are called backwards", "[procedure][synthetic]") {
  for (const std::size_t rows : {std::size_t{8}, std::size_t{12}}) {
    auto stops = read_on(rose(rows), 17.0, 1.0);
    for (double& h : stops) h = qn::wrap_360_deg(-h);
    CHECK(align_stations(stops, rose(rows)).backwards);
  }
  // Turned anticlockwise, and the file says so: nothing is wrong.
  auto rows = rose(8);
  std::reverse(rows.begin(), rows.end());
  const auto match = align_stations(read_on(rows, 17.0, 1.0), rows);
  CHECK_FALSE(match.backwards);
  CHECK(match.stop_of_row == in_order(8));
}

TEST_CASE("where one place further along fits as well, it says so", "[procedure][closed-form]") {
  // First mark missed, sensor turned by -17: read as turned by +13 with the last mark missed, it
  // costs (17/25)^2 - (13/25)^2 = 0.19 less. Nothing in the headings can decide that.
  auto stops = read_on(rose(12), -17.0, 0.0);
  stops.erase(stops.begin());
  CHECK(align_stations(stops, rose(12)).ambiguous);
}

TEST_CASE("soft iron of a few degrees does not break a match", "[procedure][synthetic]") {
  // A quadrantal error of 5 degrees, as before any solution.
  auto stops = rose(12);
  for (double& h : stops) h += 5.0 * std::sin(2.0 * h * 3.14159265358979 / 180.0);
  const auto match = align_stations(stops, rose(12));
  CHECK(match.stop_of_row == in_order(12));
}

TEST_CASE("no stops, or no rows, match nothing", "[procedure][closed-form]") {
  CHECK(align_stations({}, rose(3)).stop_of_row == Matches(3));
  CHECK(align_stations({10.0, 20.0}, {}).stop_of_row.empty());
  CHECK_FALSE(align_stations({}, {}).backwards);
}
