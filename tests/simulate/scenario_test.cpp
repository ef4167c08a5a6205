// SPDX-License-Identifier: Apache-2.0
#include "simulate/scenario.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "simulate/heading_truth.h"

using namespace qn;
using namespace qn::simulate;

static const LocalField kModel{21.0, 44.5, 0.13, 0.14, {}, {}, "by hand"};

TEST_CASE("every named scenario makes a finite recording", "[simulate][synthetic]") {
  REQUIRE(scenario_names().front() == "demo");
  for (const std::string& name : scenario_names()) {
    const auto scenario = scenario_named(name, 3);
    REQUIRE(scenario.has_value());
    CHECK(scenario->name == name);
    const auto made = make_recording(with_field(*scenario, kModel));
    CHECK(made.recording.size() > 500);
    for (const auto& axis : made.recording.field) {
      CHECK(std::all_of(axis.begin(), axis.end(), [](double x) { return std::isfinite(x); }));
    }
  }
  CHECK_FALSE(scenario_named("nothing", 1).has_value());
}

TEST_CASE(
    "the demo is worth correcting, is disturbed for about six seconds, has its true field near "
    "the model's",
    "[simulate][synthetic]") {
  const auto made = make_recording(with_field(*scenario_named("demo", 1), kModel));
  CHECK(made.stations.size() == 12);
  const auto touched = std::count(made.disturbed.begin(), made.disturbed.end(), true);
  CHECK(touched > 20 * 5);
  CHECK(touched < 20 * 7);
  CHECK(worst_heading_error(made.truth, {}, 0, 0).size_deg > 10);
  CHECK(std::abs(made.truth.true_field.horizontal_uT - 21.0) < 5 * 0.13);
  CHECK(made.truth.true_field.horizontal_uT != 21.0);
}
