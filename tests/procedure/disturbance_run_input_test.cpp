// SPDX-License-Identifier: Apache-2.0
// What a log or its marks may lack, and what is then said.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/hand_log.h"

using namespace qn;
using namespace qn::tests;

namespace {

bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("a log of 3 s is refused", "[procedure][disturbance]") {
  HandLog made{3.0};
  made.work("lamp", {1, 0, 0}, 1.0, 2.0);
  const auto run = made.analyse();
  REQUIRE_FALSE(run.has_value());
  CHECK(says(run.error().what, "3.0 s"));
  CHECK_FALSE(run.error().remedy.empty());
}

TEST_CASE("a constant column is refused by name", "[procedure][disturbance]") {
  HandLog made{60.0};
  made.work("lamp", {1, 0, 0}, 20.0, 40.0);
  std::fill(made.log.field[2].begin(), made.log.field[2].end(), 45.0);
  const auto run = made.analyse();
  REQUIRE_FALSE(run.has_value());
  CHECK(says(run.error().what, "field z"));
}

TEST_CASE("raw counts are refused", "[procedure][disturbance]") {
  HandLog made{60.0};
  made.work("lamp", {1, 0, 0}, 20.0, 40.0);
  made.log.unit = FieldUnit::counts;
  REQUIRE_FALSE(made.analyse().has_value());
}

TEST_CASE("marks without a log's samples near them are refused", "[procedure][disturbance]") {
  HandLog made{60.0};
  made.mark("lamp", 100.0, 120.0);
  const auto run = made.analyse();
  REQUIRE_FALSE(run.has_value());
  CHECK(says(run.error().what, "outside"));
}

TEST_CASE("an empty log is refused", "[procedure][disturbance]") {
  HandLog made{60.0};
  made.mark("lamp", 20.0, 40.0);
  made.keep([](double) { return false; });
  CHECK_FALSE(made.analyse().has_value());
}

TEST_CASE("a device on at the end is sized from its one edge, and said",
          "[procedure][disturbance]") {
  HandLog made{200.0};
  made.work("lamp", {1, 0, 0}, 40.0, 60.0);
  made.hold({1, 0, 0}, 150.0, 1e9);
  made.marks.push_back({150.0, "lamp", "1", 4});
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  CHECK(sigmas_off(run.value().devices[0].worst_state(), {1, 0, 0}) < 3.5);
  CHECK(says(all_remarks(run.value()), "one edge"));
}

TEST_CASE("a duplicate mark is left out, and said", "[procedure][disturbance]") {
  HandLog made{200.0};
  made.work("lamp", {1, 0, 0}, 40.0, 60.0, 2, 60.0);
  made.marks.push_back({40.0, "lamp", "1", 9});
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  CHECK(sigmas_off(run.value().devices[0].worst_state(), {1, 0, 0}) < 3.5);
  CHECK(says(all_remarks(run.value()), "changes nothing"));
}

TEST_CASE("marks outside the log are left out, and said", "[procedure][disturbance]") {
  HandLog made{200.0};
  made.work("lamp", {1, 0, 0}, 40.0, 60.0, 2, 60.0);
  made.mark("lamp", 300.0, 320.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  CHECK(says(all_remarks(run.value()), "outside the recording"));
}

TEST_CASE("two devices switched at one moment are not told apart, and not made up",
          "[procedure][disturbance]") {
  HandLog made{200.0};
  made.hold({1, 0, 0}, 40.0, 60.0).hold({0, 1, 0}, 40.0, 60.0);
  made.hold({1, 0, 0}, 120.0, 140.0).hold({0, 1, 0}, 120.0, 140.0);
  for (const char* name : {"lamp", "fan"}) made.mark(name, 40.0, 60.0).mark(name, 120.0, 140.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  // Only their sum is in the log: neither may be given a narrow band that leaves its truth out.
  for (const auto& [name, truth] :
       {std::pair{"lamp", Vector3{1, 0, 0}}, std::pair{"fan", Vector3{0, 1, 0}}}) {
    const DeviceEffect* device = find_device(run.value(), name);
    REQUIRE(device != nullptr);
    CHECK(sigmas_off(device->worst_state(), truth) < 3.0);
  }
}

TEST_CASE("a gap over a switch is bridged", "[procedure][disturbance]") {
  HandLog made{200.0};
  made.work("lamp", {1, 0.5, 0}, 40.0, 60.0, 2, 70.0);
  made.keep([](double t) { return t < 38.0 || t > 43.0; });
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  const StateEffect& state = run.value().devices[0].worst_state();
  CHECK(sigmas_off(state, {1, 0.5, 0}) < 3.5);
  CHECK(std::sqrt(state.field.covariance_uT2[0][0]) < 0.1);
}

TEST_CASE("at the rail a state is a lower bound, and said", "[procedure][disturbance]") {
  HandLog made{300.0};
  made.work("starter", {30, 0, 0}, 40.0, 60.0, 2, 120.0);
  made.work("lamp", {1, 0, 0}, 100.0, 120.0, 2, 120.0);
  for (double& y : made.log.field[0]) y = std::min(y, 40.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  const DeviceEffect* starter = find_device(run.value(), "starter");
  const DeviceEffect* lamp = find_device(run.value(), "lamp");
  REQUIRE((starter && lamp));
  CHECK(starter->worst_state().lower_bound);
  CHECK_FALSE(lamp->worst_state().lower_bound);
  CHECK(starter->worst_state().verdict.state != VerdictState::within);
  CHECK(says(all_remarks(run.value()), "rail"));
}

TEST_CASE("marks that nothing in the log answers give no effect, with its limit",
          "[procedure][disturbance]") {
  HandLog made{300.0};
  made.mark("lamp", 40.0, 60.0).mark("lamp", 120.0, 140.0).mark("lamp", 200.0, 220.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  const StateEffect& state = run.value().devices[0].worst_state();
  CHECK(state.no_effect_seen);
  CHECK(state.heading.worst_95.hi.in_deg() < 0.3);
  CHECK(says(all_remarks(run.value()), "skipped"));
}
