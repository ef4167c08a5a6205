// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "procedure/sensor_checks_internal.h"
#include "simulate/random.h"

using namespace qn;
using namespace qn::sensor_model;

namespace {

// A level turn of `seconds` at 20 Hz, H = 20 and Z = 45 microtesla.
SensorRecording turn(double seconds, double sigma_uT) {
  simulate::Random random{5};
  SensorRecording log;
  const auto count = static_cast<std::size_t>(20.0 * seconds);
  for (std::size_t k = 0; k < count; ++k) {
    const double h = 2.0 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(count);
    log.time_s.push_back(0.05 * static_cast<double>(k));
    log.field[0].push_back(20.0 * std::cos(h) + sigma_uT * random.normal());
    log.field[1].push_back(-20.0 * std::sin(h) + sigma_uT * random.normal());
    // On ground that slopes a little, so that z is not one number all the way round.
    log.field[2].push_back(45.0 + 0.4 * std::sin(h) + sigma_uT * random.normal());
  }
  return log;
}

SensorRecording with_step(SensorRecording log, double step) {
  for (auto& axis : log.field) {
    for (double& v : axis) v = step * std::round(v / step);
  }
  return log;
}

SensorRecording scaled(SensorRecording log, double factor) {
  for (auto& axis : log.field) {
    for (double& v : axis) v *= factor;
  }
  return log;
}

void check_complete(const Error& error) {
  CHECK(error.kind == ErrorKind::BadInput);
  for (const std::string* part : {&error.what, &error.where, &error.expected, &error.remedy}) {
    CHECK_FALSE(part->empty());
  }
}

bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("no sample, one sample and samples all alike are refused", "[procedure][closed-form]") {
  const auto none = check_alive({});
  REQUIRE(none);
  check_complete(*none);
  CHECK(says(none->what, "0 usable samples"));

  SensorRecording one;
  one.time_s = {0.0};
  one.field = {std::vector<double>{1.0}, {2.0}, {3.0}};
  const auto single = check_alive(one);
  REQUIRE(single);
  check_complete(*single);
  CHECK(says(single->what, "1 usable sample"));
  CHECK_FALSE(says(single->what, "samples"));

  SensorRecording stuck;
  stuck.time_s = {0.0, 0.1, 0.2};
  stuck.field = {std::vector<double>(3, 12.5), std::vector<double>(3, -4.0),
                 std::vector<double>(3, 40.0)};
  const auto same = check_alive(stuck);
  REQUIRE(same);
  check_complete(*same);
  CHECK(says(same->what, "all 3 samples are the same: 12.5, -4, 40"));

  stuck.field[2][1] = 40.01;
  CHECK_FALSE(check_alive(stuck));
}

TEST_CASE("an axis clipped at either rail is refused, by its name", "[procedure][synthetic]") {
  for (const double noise : {0.0, 0.05}) {
    for (const bool upper : {true, false}) {
      auto log = turn(60.0, noise);
      for (double& v : log.field[1]) v = upper ? std::min(v, 15.0) : std::max(v, -15.0);
      INFO("noise " << noise << (upper ? ", upper rail" : ", lower rail"));
      const auto error = check_rails(log);
      REQUIRE(error);
      check_complete(*error);
      CHECK(says(error->what, "field y"));
      CHECK(says(error->what, upper ? "exactly 15 " : "exactly -15 "));
      CHECK(says(error->where, "column field y"));
    }
  }
}

// Regression of 2026-11-25: a top was allowed twice its length.
TEST_CASE("an axis clipped in a coarse recording is refused as well", "[procedure][synthetic]") {
  // Within one step of the top of a turn of 20 the other axis moves 2 sqrt(2 x 0.15 / 20) x 20 =
  // 4.9; clipped at 12 it moves 32 while x stands still.
  auto log = with_step(turn(60.0, 0.05), 0.15);
  for (double& v : log.field[0]) v = std::min(v, 12.0);
  CHECK(check_rails(log));
}

TEST_CASE("a whole turn without clipping is not refused, however slow and coarse",
          "[procedure][synthetic]") {
  for (const double seconds : {20.0, 60.0, 600.0}) {
    for (const double step : {0.01, 0.15, 0.5, 2.0}) {
      for (const double noise : {0.0, 0.05}) {
        INFO(seconds << " s, steps of " << step << ", noise " << noise);
        CHECK_FALSE(check_rails(with_step(turn(seconds, noise), step)));
      }
    }
  }
}

TEST_CASE("a long rest at the largest number is not a rail", "[procedure][synthetic]") {
  // Starts on north, where x is largest, and waits there.
  auto log = with_step(turn(60.0, 0.0), 0.15);
  for (auto& axis : log.field) axis.insert(axis.begin(), 1200, axis.front());
  log.time_s.clear();
  for (std::size_t k = 0; k < log.field[0].size(); ++k) {
    log.time_s.push_back(0.05 * static_cast<double>(k));
  }
  CHECK_FALSE(check_rails(log));
}

// Regression of 2026-11-25: an axis without extent was called a rail.
TEST_CASE("a level turn on which a coarse z never leaves one number is not refused",
          "[procedure][synthetic]") {
  auto log = with_step(turn(60.0, 0.0), 0.15);
  for (double& v : log.field[2]) v = 45.0;
  CHECK_FALSE(check_rails(log));
}

TEST_CASE("readings in another unit are refused and the unit is named",
          "[procedure][closed-form]") {
  // 1 microtesla = 1000 nanotesla = 10 milligauss = 0.01 gauss = 0.001 millitesla.
  const std::vector<std::pair<double, std::pair<const char*, const char*>>> units{
      {1000.0, {"nanotesla", "field_x_nT"}},
      {10.0, {"milligauss", "field_x_mG"}},
      {0.01, {"look like gauss", "field_x_G "}},
      {0.001, {"millitesla", "field_x_mT"}}};
  for (const auto& [factor, words] : units) {
    for (const bool turned : {true, false}) {
      auto log = turn(60.0, 0.02);
      if (!turned) {
        for (auto& axis : log.field) axis.assign(axis.size(), axis[0]);
      }
      log = scaled(log, factor);
      INFO("factor " << factor << (turned ? ", turned" : ", at rest"));
      const Spread spread = describe_spread(log.field, 0.0);
      const auto error = check_unit(log, spread, 20.0, 49.2);
      REQUIRE(error);
      check_complete(*error);
      CHECK(says(error->what, words.first));
      CHECK(says(error->remedy, words.second));
    }
  }
}

TEST_CASE("numbers that fit no unit are said to fit none", "[procedure][closed-form]") {
  const auto log = scaled(turn(60.0, 0.02), 6.5);  // a sensor's own counts, perhaps; 10 is near
  const auto far = scaled(turn(60.0, 0.02), 150.0);
  const auto error = check_unit(far, describe_spread(far.field, 0.0), 20.0, 49.2);
  REQUIRE(error);
  CHECK(says(error->what, "no unit in use"));
  CHECK(says(error->remedy, "field_x_raw"));
  CHECK(check_unit(log, describe_spread(log.field, 0.0), 20.0, 49.2));
}

TEST_CASE("hard and soft iron are not taken for another unit", "[procedure][synthetic]") {
  auto log = turn(60.0, 0.02);
  for (double& v : log.field[0]) v = 1.3 * v + 60.0;  // three times H away
  CHECK_FALSE(check_unit(log, describe_spread(log.field, 49.2), 20.0, 49.2));
}

TEST_CASE("counts have no unit to be wrong in", "[procedure][closed-form]") {
  auto log = scaled(turn(60.0, 0.02), 1000.0);
  log.unit = FieldUnit::counts;
  CHECK_FALSE(check_unit(log, describe_spread(log.field, 0.0), 20.0, 49.2));
}
