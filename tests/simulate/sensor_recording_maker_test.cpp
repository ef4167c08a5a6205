// SPDX-License-Identifier: Apache-2.0
#include "simulate/sensor_recording_maker.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>

using namespace qn;
using namespace qn::simulate;

static SensorTruth level_truth() {
  SensorTruth truth;
  truth.true_field = {20.0, 45.0, 0.1, 0.2, {}, {}, "by hand"};
  return truth;
}

static std::size_t seconds_to_sample(double s) {
  return static_cast<std::size_t>(std::lround(20 * s));
}

TEST_CASE("the same plan gives the same bytes, another seed others", "[simulate][synthetic]") {
  RecordingPlan plan{Tumble{}, level_truth(), {}, 42};
  plan.truth.noise = {0.05, 0.05, 0.4};
  plan.truth.steel = {0.1, 5, 3};
  plan.truth.spikes = {0.01, 10};
  plan.clock = {20, 0.002, 2, 1.5};
  const auto a = make_recording(plan);
  const auto b = make_recording(plan);
  CHECK(a.recording.field == b.recording.field);
  CHECK(a.recording.time_s == b.recording.time_s);
  plan.seed = 43;
  CHECK(make_recording(plan).recording.field != a.recording.field);
}

TEST_CASE("a level swing passes the cardinal headings where it should", "[simulate][closed-form]") {
  // Even rate 6 deg/s after 5 s of rest: heading 090 at 20 s, 180 at 35 s. Level field by hand.
  Swing swing;
  swing.unevenness = 0.0;
  const auto made = make_recording({swing, level_truth(), {}, 1});
  const auto& f = made.recording.field;
  const std::size_t east = seconds_to_sample(20);
  CHECK(made.heading_deg[east] == Approx(90).margin(1e-9));
  CHECK(f[0][east] == Approx(0).margin(1e-9));
  CHECK(f[1][east] == Approx(-20).margin(1e-9));
  CHECK(f[2][east] == Approx(45).margin(1e-9));
  const std::size_t south = seconds_to_sample(35);
  CHECK(f[0][south] == Approx(-20).margin(1e-9));
  CHECK(made.recording.size() == 20 * 70 + 1);  // 5 + 60 + 5 s at 20 Hz, both ends
  CHECK(f[0].front() == f[0][seconds_to_sample(4.9)]);
}

TEST_CASE("an uneven or anticlockwise swing turns all the way without going back",
          "[simulate][synthetic]") {
  Swing swing;
  swing.unevenness = 0.5;
  swing.anticlockwise = true;
  swing.arc_deg = 720;
  const auto made = make_recording({swing, level_truth(), {}, 5});
  double turned = 0;
  for (std::size_t k = 1; k < made.heading_deg.size(); ++k) {
    const double step = std::remainder(made.heading_deg[k] - made.heading_deg[k - 1], 360.0);
    CHECK(step <= 1e-9);
    turned += step;
  }
  CHECK(turned == Approx(-720).margin(1e-6));
}

TEST_CASE("stations stand still on their marks, with placement and north errors",
          "[simulate][synthetic]") {
  Stations stations;
  stations.placement_sigma_deg = 0.5;
  stations.north_sigma_deg = 0.3;
  const auto made = make_recording({stations, level_truth(), {}, 8});
  REQUIRE(made.stops.size() == 12);
  REQUIRE(made.stations.size() == 12);
  CHECK(made.stations[3].station_deg == 90.0);
  CHECK(std::isnan(made.stations[3].roll_deg));
  CHECK(made.known_headings[3].heading_deg == 90.0);
  for (const auto& stop : made.stops) {
    const std::size_t first = seconds_to_sample(stop.from_s + 0.1);
    const std::size_t last = seconds_to_sample(stop.to_s - 0.1);
    CHECK(made.heading_deg[first] == Approx(made.heading_deg[last]).margin(1e-9));
    const double error = std::remainder(made.heading_deg[first] - stop.station_deg, 360.0);
    CHECK(std::abs(error) < 4 * std::hypot(0.5, 0.3));
    CHECK(std::abs(error) > 1e-6);
  }
}

TEST_CASE("placement errors have their sigma and share the north error",
          "[simulate][closed-form]") {
  // 200 roses of 12: sd of the common part 0.3 (sd of that sd 5 %), of the rest 0.5 (1.5 %).
  double common = 0, rest = 0;
  Stations stations;
  stations.placement_sigma_deg = 0.5;
  stations.north_sigma_deg = 0.3;
  stations.dwell_s = 0.2;
  stations.turn_s = 0.2;
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    const auto made = make_recording({stations, level_truth(), {}, seed});
    common += made.north_error_deg * made.north_error_deg / 200;
    for (const auto& stop : made.stops) {
      const double e = std::remainder(stop.true_heading_deg - stop.station_deg, 360.0);
      rest += std::pow(e - made.north_error_deg, 2) / 2400;
    }
  }
  CHECK(std::sqrt(common) == Approx(0.3).epsilon(0.2));
  CHECK(std::sqrt(rest) == Approx(0.5).epsilon(0.06));
}

TEST_CASE("a missed and a repeated station change the stops but not the rows",
          "[simulate][synthetic]") {
  Stations stations;
  stations.missed = 5;
  stations.repeated = 9;
  const auto made = make_recording({stations, level_truth(), {}, 8});
  CHECK(made.stations.size() == 12);
  REQUIRE(made.stops.size() == 12);  // one less, one more
  CHECK(std::none_of(made.stops.begin(), made.stops.end(), [](auto& s) { return s.row == 4; }));
  CHECK(std::count_if(made.stops.begin(), made.stops.end(), [](auto& s) { return s.row == 8; }) ==
        2);
  CHECK(made.stops.back().to_s <= made.recording.time_s.back());
}

TEST_CASE("a tumble meets the field from everywhere, at hand speed, after a level rest",
          "[simulate][synthetic]") {
  const auto made = make_recording({Tumble{}, level_truth(), {}, 4});
  const auto& f = made.recording.field;
  CHECK(f[2].front() == Approx(45).margin(1e-9));
  CHECK(f[0].front() == f[0][seconds_to_sample(4.9)]);
  std::array<int, 8> octants{};
  double fastest = 0;
  const double total = std::hypot(20.0, 45.0);
  for (std::size_t k = 0; k < f[0].size(); ++k) {
    CHECK(std::hypot(f[0][k], f[1][k], f[2][k]) == Approx(total).margin(1e-9));
    ++octants[(f[0][k] > 0 ? 1U : 0U) + (f[1][k] > 0 ? 2U : 0U) + (f[2][k] > 0 ? 4U : 0U)];
    if (k > 0) {
      fastest = std::max(
          fastest,
          20 * std::hypot(f[0][k] - f[0][k - 1], f[1][k] - f[1][k - 1], f[2][k] - f[2][k - 1]) /
              total);
    }
  }
  CHECK(*std::min_element(octants.begin(), octants.end()) > 20);
  CHECK(fastest > 0.5);
  CHECK(fastest < 3.5);  // rad/s
}

TEST_CASE("a tumble of small reach keeps its roll and pitch inside it", "[simulate][synthetic]") {
  Tumble tumble;
  tumble.reach_deg = 25;
  const auto made = make_recording({tumble, level_truth(), {}, 4});
  double most = 0;
  for (const auto& R : made.body_from_earth) {
    const Attitude a = attitude_of(R);
    most = std::max({most, std::abs(a.roll_deg), std::abs(a.pitch_deg)});
  }
  CHECK(most <= 25.0);
  CHECK(most > 12.0);
}

TEST_CASE("quantum, rail and counts shape the recorded numbers", "[simulate][closed-form]") {
  RecordingPlan plan{AtRest{1.0, 0.0}, level_truth(), {}, 1};
  plan.truth.hard_iron_uT = {0.07, 0.08, 0};
  plan.truth.quantum_uT = 0.15;
  // 20.07 / 0.15 = 133.8 -> 134 -> 20.10; 0.08 -> 0.15; 45 is 300 steps.
  auto made = make_recording(plan);
  CHECK(made.recording.field[0][0] == Approx(20.10).margin(1e-9));
  CHECK(made.recording.field[1][0] == Approx(0.15).margin(1e-9));
  CHECK(made.recording.field[2][0] == Approx(45.0).margin(1e-9));
  plan.truth.counts_per_uT = 1.0 / 0.15;
  made = make_recording(plan);
  CHECK(made.recording.unit == FieldUnit::counts);
  CHECK(made.recording.field[0][0] == 134.0);
  CHECK(made.recording.field[2][0] == 300.0);
  plan.truth.counts_per_uT.reset();
  plan.truth.rail_uT = 30.0;
  made = make_recording(plan);
  CHECK(made.recording.field[2][0] == 30.0);
}

TEST_CASE("the recorded noise has the rms asked for", "[simulate][closed-form]") {
  RecordingPlan plan{AtRest{1000.0, 0.0}, level_truth(), {}, 3};
  plan.truth.noise = {0.1, 0, 0};
  const auto made = make_recording(plan);
  double square = 0;
  for (const double x : made.recording.field[0]) {
    square += (x - 20) * (x - 20) / static_cast<double>(made.recording.size());
  }
  CHECK(std::sqrt(square) == Approx(0.1).epsilon(0.02));  // sd of an rms of 20 000 is 0.5 %
}

TEST_CASE("passing steel touches its share, in stretches, and says where",
          "[simulate][synthetic]") {
  RecordingPlan plan{AtRest{300.0, 0.0}, level_truth(), {}, 6};
  plan.truth.steel = {0.1, 8.0, 4.0};
  const auto made = make_recording(plan);
  const auto touched = std::count(made.disturbed.begin(), made.disturbed.end(), true);
  CHECK(touched == 600);  // a tenth of 6001
  double largest = 0;
  for (std::size_t k = 0; k < made.recording.size(); ++k) {
    const auto& f = made.recording.field;
    const double off = std::hypot(f[0][k] - 20, f[1][k], f[2][k] - 45);
    if (!made.disturbed[k]) CHECK(off < 1e-9);
    largest = std::max(largest, off);
  }
  CHECK(largest > 2.0);
  CHECK(largest <= 16.0);  // two passages may meet
}

TEST_CASE("gaps are missing times, jitter keeps the order", "[simulate][synthetic]") {
  RecordingPlan plan{AtRest{60.0, 0.0}, level_truth(), {20, 0.01, 1, 5.0}, 6};
  const auto made = make_recording(plan);
  const auto& t = made.recording.time_s;
  CHECK(t.size() == 1101);  // 1201 less 5 s of 20 Hz
  double widest = 0;
  for (std::size_t k = 1; k < t.size(); ++k) {
    CHECK(t[k] > t[k - 1]);
    widest = std::max(widest, t[k] - t[k - 1]);
  }
  CHECK(widest == Approx(5.05).margin(0.05));
  CHECK(t.front() >= 0.0);
}

TEST_CASE("attitude and accelerometer columns follow the conventions", "[simulate][closed-form]") {
  RecordingPlan plan{AtRest{1.0, 0.0}, level_truth(), {}, 1};
  plan.truth.attitude = AttitudeColumns{0, 0, 10, 0.25, -0.5};
  plan.truth.accel = AccelColumns{0};
  plan.truth.deck = {30, 0};
  auto made = make_recording(plan);
  CHECK(made.recording.roll_deg[0] == Approx(30.25).margin(1e-9));
  CHECK(made.recording.pitch_deg[0] == Approx(-0.5).margin(1e-9));
  // Right wing down 30: what holds it up points to body (0, -sin 30, -cos 30).
  CHECK(made.recording.accel_g[0][0] == Approx(0).margin(1e-12));
  CHECK(made.recording.accel_g[1][0] == Approx(-0.5).margin(1e-12));
  CHECK(made.recording.accel_g[2][0] == Approx(-0.8660254037844387).margin(1e-12));
  plan.truth.deck = {0, 10};
  made = make_recording(plan);
  // Nose up 10: up is forward of the cabin's own up: (+sin 10, 0, -cos 10).
  CHECK(made.recording.accel_g[0][0] == Approx(0.17364817766693033).margin(1e-12));
  plan.truth.deck = {};
  plan.truth.attitude.reset();
  plan.truth.accel.reset();
  made = make_recording(plan);
  CHECK(made.recording.roll_deg.empty());
  CHECK(made.recording.accel_g[0].empty());
}
