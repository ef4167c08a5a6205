// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>

#include "procedure/disturbance_marks_internal.h"

using namespace qn;
using namespace qn::disturbance;

namespace {

std::vector<Device> equipment() {
  Device lamp;
  lamp.name = "Landing light";
  lamp.phases = {"night"};
  Device trim;
  trim.name = "trim";
  trim.kind = DeviceKind::motor;
  trim.states = {"neutral", "left", "right"};
  return {lamp, trim};
}

Result<MarkedRun> understood(const std::vector<Mark>& marks) {
  return understand_marks(marks, equipment(), 0.0, 100.0);
}

void check_refused(const std::vector<Mark>& marks, const std::string& where,
                   const std::string& named) {
  const auto run = understood(marks);
  REQUIRE_FALSE(run.has_value());
  CHECK(run.error().where.find(where) != std::string::npos);
  CHECK((run.error().what + run.error().expected).find(named) != std::string::npos);
  CHECK_FALSE(run.error().expected.empty());
  CHECK_FALSE(run.error().remedy.empty());
}

}  // namespace

TEST_CASE("a name is known in any case and a state by name or number", "[procedure]") {
  const auto run = understood({{10, "landing LIGHT", "ON", 2},
                               {20, "Landing light", "0", 3},
                               {30, "trim", "-1", 4},
                               {40, "trim", "neutral", 5}});
  REQUIRE(run.has_value());
  REQUIRE(run.value().visits.size() == 2);
  CHECK(run.value().visits[0].item == 0);
  CHECK(run.value().visits[0].state == 1);
  CHECK(run.value().visits[1].item == 1);
  CHECK(run.value().visits[1].state == 2);  // "right": the third state has the number -1
}

TEST_CASE("an unknown device is refused with its line and the known ones", "[procedure]") {
  check_refused({{10, "lamp", "1", 7}}, "line 7", "Landing light");
}

TEST_CASE("an unknown state is refused with its line and the known ones", "[procedure]") {
  check_refused({{10, "trim", "up", 3}}, "line 3", "left");
}

TEST_CASE("an unknown phase is refused", "[procedure]") {
  check_refused({{10, "phase:cruise", "1", 4}}, "line 4", "cruise");
}

TEST_CASE("no marks, and marks all outside the log, are refused", "[procedure]") {
  check_refused({}, "marks", "no mark");
  check_refused({{-5, "trim", "1", 2}, {150, "trim", "0", 3}}, "marks", "outside");
}

TEST_CASE("marks before and after the log are left out and said", "[procedure]") {
  const auto run = understood({{-5, "trim", "1", 2},
                               {-2, "trim", "0", 3},
                               {10, "trim", "1", 4},
                               {20, "trim", "0", 5},
                               {140, "trim", "1", 6}});
  REQUIRE(run.has_value());
  CHECK(run.value().visits.size() == 1);
  REQUIRE(run.value().remarks.size() == 1);
  CHECK(run.value().remarks[0].find("3 marks outside") != std::string::npos);
}

TEST_CASE("what was switched on before the log began is on from its start", "[procedure]") {
  const auto run = understood({{-5, "trim", "1", 2}, {30, "trim", "0", 3}});
  REQUIRE(run.has_value());
  REQUIRE(run.value().visits.size() == 1);
  CHECK_FALSE(run.value().visits[0].begin.has_value());
  CHECK(run.value().visits[0].end.has_value());
}

TEST_CASE("a device still on when the log ends has one edge, which is said", "[procedure]") {
  const auto run = understood({{30, "trim", "1", 2}});
  REQUIRE(run.has_value());
  REQUIRE(run.value().visits.size() == 1);
  CHECK_FALSE(run.value().visits[0].end.has_value());
  REQUIRE(run.value().item_remarks[1].size() == 1);
  CHECK(run.value().item_remarks[1][0].find("one edge") != std::string::npos);
}

TEST_CASE("a mark that changes nothing is left out and said", "[procedure]") {
  const auto run = understood(
      {{10, "trim", "1", 2}, {12, "trim", "1", 3}, {20, "trim", "0", 4}, {21, "trim", "0", 5}});
  REQUIRE(run.has_value());
  CHECK(run.value().switches.size() == 2);
  CHECK(run.value().item_remarks[1].size() == 2);
}

TEST_CASE("marks may come in any order of time", "[procedure]") {
  const auto run = understood({{20, "trim", "0", 2}, {10, "trim", "1", 3}});
  REQUIRE(run.has_value());
  REQUIRE(run.value().visits.size() == 1);
  CHECK(run.value().switches[0].mark == 1);
  CHECK(run.value().switches[1].mark == 0);
}

TEST_CASE("going from one state to another without the reference ends the first", "[procedure]") {
  const auto run =
      understood({{10, "trim", "left", 2}, {20, "trim", "right", 3}, {30, "trim", "0", 4}});
  REQUIRE(run.has_value());
  REQUIRE(run.value().visits.size() == 2);
  CHECK(*run.value().visits[0].end == *run.value().visits[1].begin);
}

TEST_CASE("two devices at one moment stay two visits", "[procedure]") {
  const auto run = understood({{10, "trim", "1", 2},
                               {10, "landing light", "1", 3},
                               {20, "trim", "0", 4},
                               {20, "landing light", "0", 5}});
  REQUIRE(run.has_value());
  CHECK(run.value().visits.size() == 2);
}

TEST_CASE("without a list only on and off are understood", "[procedure]") {
  CHECK(understand_marks({{10, "fan", "on", 2}, {20, "fan", "off", 3}}, {}, 0, 100).has_value());
  const auto run = understand_marks({{10, "fan", "fast", 2}}, {}, 0, 100);
  REQUIRE_FALSE(run.has_value());
  CHECK(run.error().where.find("line 2") != std::string::npos);
}
