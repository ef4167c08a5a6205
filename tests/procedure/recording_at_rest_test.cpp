// SPDX-License-Identifier: Apache-2.0
#include "procedure/recording_at_rest.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace qn;

namespace {

LocalField earth() {
  LocalField out;
  out.horizontal_uT = 20.0;
  out.down_uT = 45.0;
  return out;
}

// 30 s at 10 Hz; every axis rounded to `quantum` where that is not 0.
SensorRecording standing(double factor, double quantum) {
  SensorRecording out;
  for (int k = 0; k < 300; ++k) {
    const double ripple = 0.05 * std::sin(0.7 * k);
    out.time_s.push_back(0.1 * k);
    const Vector3 field{20.0 + ripple, 3.02 + 0.3 * ripple, 44.0 - ripple};
    for (std::size_t i = 0; i < 3; ++i) {
      const double value = factor * field[i];
      out.field[i].push_back(quantum > 0.0 ? quantum * std::round(value / quantum) : value);
    }
  }
  return out;
}

}  // namespace

TEST_CASE("a standing sensor near the Earth's field is taken, hard iron and all",
          "[procedure][closed-form]") {
  CHECK_FALSE(check_recording_at_rest(standing(1.0, 0.0), earth()));
  CHECK_FALSE(check_recording_at_rest(standing(2.0, 0.0), earth()));
}

TEST_CASE("an axis without noise is a stuck one on a fine sensor only",
          "[procedure][closed-form]") {
  SensorRecording stuck = standing(1.0, 0.0);
  stuck.field[1].assign(stuck.size(), 3.0);
  const auto refused = check_recording_at_rest(stuck, earth());
  REQUIRE(refused);
  CHECK(refused->where == "the sensor log, column field_y_uT");
  // Steps of 0.08: x and z flicker between two numbers, y stays on one and is sound.
  const SensorRecording coarse = standing(1.0, 0.08);
  REQUIRE(coarse.field[1].front() == coarse.field[1][150]);
  CHECK_FALSE(check_recording_at_rest(coarse, earth()));
}

TEST_CASE("counts, another unit and a short recording are refused", "[procedure][closed-form]") {
  SensorRecording counts = standing(1.0, 0.0);
  counts.unit = FieldUnit::counts;
  CHECK(check_recording_at_rest(counts, earth())->remedy.find("sensor apply") != std::string::npos);
  CHECK(check_recording_at_rest(standing(1000.0, 0.0), earth())->what.find("nanotesla") !=
        std::string::npos);
  SensorRecording brief = standing(1.0, 0.0);
  brief.time_s.resize(30);
  for (auto& axis : brief.field) axis.resize(30);
  CHECK(check_recording_at_rest(brief, earth())->what.find("2.9 s long") != std::string::npos);
}

TEST_CASE("a mounting turns field and accelerometer, and leaves attitude alone",
          "[procedure][closed-form]") {
  SensorRecording log;
  log.time_s = {0.0};
  log.field = {{{1.0}, {2.0}, {3.0}}};
  log.accel_g = {{{0.1}, {0.2}, {-1.0}}};
  log.roll_deg = {5.0};
  const auto quarter = Rotation<Body, Sensor>::from_rows({{{0, -1, 0}, {1, 0, 0}, {0, 0, 1}}});
  const SensorRecording turned = in_body_axes(log, quarter);
  CHECK(turned.field[0][0] == -2.0);
  CHECK(turned.field[1][0] == 1.0);
  CHECK(turned.field[2][0] == 3.0);
  CHECK(turned.accel_g[0][0] == -0.2);
  CHECK(turned.roll_deg[0] == 5.0);
}
