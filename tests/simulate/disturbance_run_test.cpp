// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "simulate/disturbance_recording_maker.h"
#include "simulate/disturbance_signal.h"
#include "vocab/equipment.h"

using namespace qn;
using namespace qn::simulate;

namespace {

Device light(const std::string& name) {
  Device out;
  out.name = name;
  return out;
}

/// No noise, no drift, no fault, heading 0: the Earth's field in body axes is (20, 0, 45).
DisturbanceSettings silent() {
  DisturbanceSettings s;
  s.noise = {};
  s.heading_deg = 0.0;
  return s;
}

Vector3 mean(const SimulatedRun& run, double from_s, double to_s) {
  Vector3 sum{};
  double n = 0;
  for (std::size_t k = 0; k < run.recording.size(); ++k) {
    if (run.recording.time_s[k] < from_s || run.recording.time_s[k] >= to_s) continue;
    for (std::size_t i = 0; i < 3; ++i) sum[i] += run.recording.field[i][k];
    n += 1;
  }
  for (double& x : sum) x /= n;
  return sum;
}

/// Field while the device was on at its first mark, minus the field before the first mark of all.
Vector3 first_step(const SimulatedRun& run, const std::string& device) {
  for (std::size_t m = 0; m + 1 < run.marks.size(); ++m) {
    if (run.marks[m].device != device) continue;
    const Vector3 on =
        mean(run, run.truth.marks[m].settled_s + 0.1, run.truth.marks[m + 1].switch_s);
    const Vector3 off = mean(run, 0.0, run.truth.marks[0].switch_s);
    return {on[0] - off[0], on[1] - off[1], on[2] - off[2]};
  }
  return {};
}

void check_equal(const Vector3& a, const Vector3& b, double margin) {
  for (std::size_t i = 0; i < 3; ++i) CHECK(a[i] == Approx(b[i]).margin(margin));
}

std::vector<DeviceTruth> two_lights() {
  return {device_with_fields(light("red"), {Vector3{1.0, -2.0, 0.5}}),
          device_with_fields(light("green"), {Vector3{-0.3, 0.4, 0.0}})};
}

constexpr double kRounding = 1e-9;  // sums of numbers near 50 in double precision

}  // namespace

TEST_CASE("without noise a run is its steps and nothing else", "[simulate][closed-form]") {
  const auto run = make_disturbance_run(two_lights(), silent(), 3);
  const auto& field = run.recording.field;
  CHECK(field[0].front() == Approx(20.0).margin(kRounding));
  CHECK(field[2].front() == Approx(45.0).margin(kRounding));
  std::set<long> levels;  // of x, in thousandths
  for (const double x : field[0]) levels.insert(std::lround(1000.0 * (x - 20.0)));
  CHECK(levels == std::set<long>{-300, 0, 700, 1000});
  check_equal(first_step(run, "red"), {1.0, -2.0, 0.5}, kRounding);
  check_equal(first_step(run, "green"), {-0.3, 0.4, 0.0}, kRounding);
}

TEST_CASE("everything at once is the sum of its parts, unless they act on each other",
          "[simulate][closed-form]") {
  DisturbanceSettings settings = silent();
  auto run = make_disturbance_run(two_lights(), settings, 3);
  check_equal(first_step(run, "*"), {0.7, -1.6, 0.5}, kRounding);
  REQUIRE(run.truth.combinations.size() == 1);
  check_equal(run.truth.combinations[0].field_uT, {0.7, -1.6, 0.5}, kRounding);
  settings.effects.all_on_extra_uT = 0.4;
  run = make_disturbance_run(two_lights(), settings, 3);
  const Vector3 together = first_step(run, "*");
  CHECK(std::hypot(together[0] - 0.7, together[1] + 1.6, together[2] - 0.5) ==
        Approx(0.4).margin(kRounding));
  check_equal(run.truth.combinations[0].field_uT, together, kRounding);
}

TEST_CASE("each phase's set is worked together, with the sum of its members",
          "[simulate][closed-form]") {
  auto devices = two_lights();
  devices.push_back(device_with_fields(light("blue"), {Vector3{0.0, 0.0, 2.0}}));
  devices[0].device.phases = {"night", "landing"};
  devices[2].device.phases = {"night"};
  const auto run = make_disturbance_run(devices, silent(), 3);
  check_equal(first_step(run, "phase:night"), {1.0, -2.0, 2.5}, kRounding);
  check_equal(first_step(run, "phase:landing"), {1.0, -2.0, 0.5}, kRounding);
  REQUIRE(run.truth.combinations.size() == 3);
  CHECK(run.truth.combinations[1].devices == std::vector<std::string>{"red", "blue"});
}

TEST_CASE("every state of every device is marked as often as asked, away and back",
          "[simulate][synthetic]") {
  Device trim = light("trim");
  trim.states = {"neutral", "left", "right"};
  auto settings = silent();
  settings.operator_habits.passes = 3;
  const auto run = make_disturbance_run({light("red"), trim, light("green")}, settings, 11);
  const auto count = [&](const char* device, const char* state) {
    return std::count_if(run.marks.begin(), run.marks.end(),
                         [&](const Mark& m) { return m.device == device && m.state == state; });
  };
  CHECK(count("trim", "left") == 3);
  CHECK(count("trim", "right") == 3);
  CHECK(count("trim", "neutral") == 6);
  CHECK(count("red", "on") == 3);
  CHECK(count("*", "1") == 1);
  CHECK(run.truth.marks.size() == run.marks.size());
}

TEST_CASE("no device is worked twice in a row, and each order is another one",
          "[simulate][synthetic]") {
  std::vector<Device> list;
  for (const char* name : {"a", "b", "c", "d", "e"}) list.push_back(light(name));
  auto settings = silent();
  settings.operator_habits.passes = 6;
  const auto run = make_disturbance_run(list, settings, 5);
  std::set<std::string> orders;
  std::string order;
  for (std::size_t m = 0; m + 2 < run.marks.size(); m += 2) {
    if (run.marks[m + 2].device != "*") CHECK(run.marks[m].device != run.marks[m + 2].device);
    order += run.marks[m].device;
    if (order.size() == 5) orders.insert(std::exchange(order, {}));
  }
  CHECK(orders.size() >= 4);
}

TEST_CASE("a device is kept on no longer than it stands, and rests as long as it needs",
          "[simulate][synthetic]") {
  Device starter = light("starter");
  starter.max_on_s = 4.0;
  starter.min_rest_s = 60.0;
  const auto run = make_disturbance_run({starter, light("red")}, silent(), 5);
  double off_s = -1e9;
  int seen = 0;
  for (std::size_t m = 0; m + 1 < run.marks.size(); ++m) {
    if (run.marks[m].device != "starter" || run.marks[m].state != "on") continue;
    CHECK(run.truth.marks[m + 1].switch_s - run.truth.marks[m].switch_s <= 4.0 + kRounding);
    CHECK(run.truth.marks[m].switch_s - off_s >= 60.0 - kRounding);
    off_s = run.truth.marks[m + 1].switch_s;
    ++seen;
  }
  CHECK(seen == 3);
}

TEST_CASE("a device that needs another is worked while that one is on", "[simulate][synthetic]") {
  auto devices = two_lights();
  devices[1].device.with = "red";
  const auto run = make_disturbance_run(devices, silent(), 5);
  check_equal(first_step(run, "green"), {0.7, -1.6, 0.5}, kRounding);
}

TEST_CASE("what a helper needs is switched on before it, and off after it",
          "[simulate][synthetic]") {
  auto devices = two_lights();
  devices[0].device.with = "green";
  devices.push_back(device_with_fields(light("blue"), {Vector3{0.0, 0.0, 2.0}}));
  devices[2].device.with = "red";
  const auto run = make_disturbance_run(devices, silent(), 5);
  const auto blue = std::find_if(run.marks.begin(), run.marks.end(),
                                 [](const Mark& m) { return m.device == "blue"; });
  REQUIRE(blue - run.marks.begin() >= 2);
  CHECK((blue - 1)->device == "red");
  CHECK((blue - 2)->device == "green");
  CHECK((blue + 2)->device == "red");
  CHECK((blue + 2)->state == "off");
  CHECK((blue + 3)->device == "green");
}

TEST_CASE("the same seed gives the same run, another seed another", "[simulate][synthetic]") {
  const auto list = invented_equipment(12, 4);
  const auto settings = *disturbance_preset("hard");
  const auto a = make_disturbance_run(list, settings, 9);
  const auto b = make_disturbance_run(list, settings, 9);
  CHECK(a.recording.time_s == b.recording.time_s);
  CHECK(a.recording.field == b.recording.field);
  REQUIRE(a.marks.size() == b.marks.size());
  for (std::size_t m = 0; m < a.marks.size(); ++m) CHECK(a.marks[m].time_s == b.marks[m].time_s);
  CHECK(make_disturbance_run(list, settings, 10).recording.field != a.recording.field);
}

TEST_CASE("a device's field does not depend on the rest of the list", "[simulate][synthetic]") {
  auto list = invented_equipment(10, 4);
  const auto settings = *disturbance_preset("ordinary");
  const auto all = draw_devices(list, settings, 9);
  list.resize(6);
  const auto fewer = draw_devices(list, settings, 9);
  for (std::size_t d = 0; d < fewer.size(); ++d) {
    CHECK(fewer[d].states[1].field_uT == all[d].states[1].field_uT);
  }
}

TEST_CASE("drawn devices go from nothing to more than the heading bears", "[simulate][synthetic]") {
  DisturbanceSettings settings = silent();
  settings.effects.lost_share = 0.1;
  int zero = 0, small = 0, over = 0, lost = 0;
  for (const auto& device : draw_devices(invented_equipment(400, 1), settings, 2)) {
    const auto& state = device.states[1];
    const double horizontal = std::hypot(state.field_uT[0], state.field_uT[1]);
    if (horizontal == 0.0) {
      CHECK(state.worst_heading_error_deg == 0.0);
      ++zero;
    } else if (horizontal >= 20.0)
      ++lost;
    // The identity of the worst heading, asin(b/H); the simulator found it by turning round.
    else
      CHECK(state.worst_heading_error_deg ==
            Approx(std::asin(horizontal / 20.0) * 57.29577951).epsilon(1e-3));
    if (horizontal >= 20.0) CHECK(state.worst_heading_error_deg == 180.0);
    if (horizontal > 0.0 && state.worst_heading_error_deg < 0.3) ++small;
    if (state.worst_heading_error_deg > 1.0) ++over;
  }
  CHECK(zero > 50);
  CHECK(zero < 110);
  CHECK(small > 40);
  CHECK(over > 80);
  CHECK(lost > 10);
}
