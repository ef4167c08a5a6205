// SPDX-License-Identifier: Apache-2.0
#include "app/codec_disturbance.h"

#include <catch2/catch.hpp>
#include <initializer_list>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>

#include "support/sample_disturbance.h"

using nlohmann::json;
using namespace qn;

namespace {

json written(DisturbanceRun run) {
  return json::parse(to_json(samples::document_of(std::move(run))));
}

void check_keys(const json& object, std::initializer_list<const char*> keys) {
  REQUIRE(object.is_object());
  for (const char* key : keys) {
    INFO(key);
    CHECK(object.contains(key));
  }
}

// conventions: a key with _95_ in its name is always a two-sided band [lo, hi].
void check_bands(const json& at, std::size_t& bands) {
  if (at.is_object()) {
    for (const auto& [key, value] : at.items()) {
      if (key.find("_95_") != std::string::npos) {
        INFO(key);
        REQUIRE(value.size() == 2);
        CHECK(value[0].get<double>() <= value[1].get<double>());
        ++bands;
      } else {
        check_bands(value, bands);
      }
    }
  } else if (at.is_array()) {
    for (const json& value : at) check_bands(value, bands);
  }
}

const double kNaN = std::numeric_limits<double>::quiet_NaN();

}  // namespace

TEST_CASE("the disturbance document has every key that it promises", "[app][closed-form]") {
  const json doc = written(samples::whole_run());
  CHECK(doc.at("schema") == "quietnorth/disturbance/1");
  check_keys(doc, {"earth", "noise", "limit_deg", "devices", "combinations", "all_on",
                   "unexplained", "cure_order", "common_delay_s", "remarks", "assumptions",
                   "sentence", "verdict", "recording", "marks", "equipment", "trace"});
  check_keys(doc.at("noise"), {"white_uT", "correlation_time_s", "quantum_uT", "drift_uT_per_min"});
  check_keys(doc.at("earth"), {"F_uT", "H_uT", "Z_uT", "dip_deg", "source"});
  REQUIRE(doc.at("devices").size() == 4);
  for (const json& device : doc.at("devices")) {
    check_keys(device, {"name", "repeats", "states", "switch_times_s", "switch_sigma_s", "pulsing",
                        "per_ampere_uT", "remarks"});
    CHECK(device.at("switch_times_s").size() == 4);
    for (const json& state : device.at("states")) {
      check_keys(state, {"state", "field_uT", "field_sigma_uT", "worst_heading_error_deg",
                         "worst_heading_error_95_deg", "worst_at_heading_deg", "worst_tilted_deg",
                         "unproven", "verdict"});
      CHECK(state.at("field_uT").size() == 3);
      CHECK(state.at("field_sigma_uT")[1].get<double>() == Approx(0.02));
      CHECK(state.at("unproven").is_boolean());
      CHECK(state.at("curve").size() == 72);
      CHECK(state.at("curve")[71].at("heading_deg") == 355.0);
    }
  }
  check_keys(doc.at("devices")[1].at("pulsing"), {"period_s", "duty", "peak_uT", "mean_uT"});
  CHECK(doc.at("devices")[0].at("pulsing").is_null());
  CHECK(doc.at("devices")[0].at("per_ampere_uT").size() == 3);
  CHECK(doc.at("devices")[1].at("per_ampere_uT").is_null());
}

TEST_CASE("what stands beside the devices is written with its keys", "[app][closed-form]") {
  const json doc = written(samples::whole_run());
  for (const json& combination : doc.at("combinations")) {
    check_keys(combination, {"phase", "devices", "worst_heading_error_deg",
                             "worst_heading_error_95_deg", "verdict", "worst_subset"});
  }
  check_keys(doc.at("all_on"), {"measured_uT", "summed_uT", "agree"});
  REQUIRE(doc.at("unexplained").size() == 2);
  for (const json& found : doc.at("unexplained")) {
    check_keys(found, {"from_s", "to_s", "kind", "size_uT", "worst_heading_error_deg", "period_s",
                       "looks_like"});
  }
  CHECK(doc.at("unexplained")[0].at("period_s") == 8.0);
  CHECK(doc.at("unexplained")[1].at("period_s").is_null());
  CHECK(doc.at("unexplained")[1].at("looks_like").is_null());
  CHECK(doc.at("cure_order") == json{"landing light, left"});
  std::size_t bands = 0;
  check_bands(doc, bands);
  CHECK(bands > 5 * 72);
}

TEST_CASE("a run with nothing beside its devices keeps the keys", "[app][closed-form]") {
  DisturbanceRun run = samples::whole_run();
  run.all_on.reset();
  run.combinations.clear();
  run.unexplained.clear();
  run.trace = {};
  const json doc = written(run);
  CHECK(doc.at("all_on").is_null());
  CHECK(doc.at("equipment").is_null());
  CHECK(doc.at("combinations") == json::array());
  CHECK(doc.at("unexplained") == json::array());
  CHECK(doc.at("trace").at("time_s") == json::array());
}

TEST_CASE("a number that the run cannot give is null, never NaN", "[app][closed-form]") {
  DisturbanceRun run = samples::whole_run();
  run.devices[0].switch_times_s[2] = kNaN;
  run.devices[0].states[0].field.covariance_uT2[1][1] = -1.0;
  run.devices[0].states[0].heading.worst_95.hi =
      Angle::degrees(std::numeric_limits<double>::infinity());
  run.devices[0].states[0].heading.curve_deg[3] = kNaN;
  run.noise.correlation_time_s = kNaN;
  run.all_on->measured.field_uT[0] = kNaN;
  run.unexplained[0].period_s = kNaN;
  run.trace.field_uT[0][1] = kNaN;
  const std::string text = to_json(samples::document_of(run));
  const json doc = json::parse(text);
  CHECK(doc.at("devices")[0].at("switch_times_s")[2].is_null());
  CHECK(doc.at("devices")[0].at("states")[0].at("field_sigma_uT")[1].is_null());
  CHECK(doc.at("devices")[0].at("states")[0].at("worst_heading_error_95_deg")[1].is_null());
  CHECK(doc.at("trace").at("field_uT")[0][1].is_null());
  CHECK(text.find("nan") == std::string::npos);
  CHECK(text.find("inf,") == std::string::npos);
}

TEST_CASE("a long trace is thinned, and its columns stay as long as each other",
          "[app][closed-form]") {
  const json trace = written(samples::whole_run()).at("trace");
  const std::size_t points = trace.at("time_s").size();
  CHECK(points == 3000);  // 9000 points, at most 4000: every third
  for (const char* key : {"field_uT", "fit_uT", "rest_uT", "used"}) {
    CHECK(trace.at(key).size() == points);
  }
  CHECK(trace.at("time_s")[1].get<double>() == Approx(0.3));
  CHECK(trace.at("field_uT")[0][1] == 0.3333);
}

TEST_CASE("--check asks for every device and every phase", "[app][closed-form]") {
  DisturbanceRun run = samples::whole_run();
  CHECK_FALSE(every_verdict_within(run));
  run.verdict.state = VerdictState::within;
  for (auto& device : run.devices) {
    for (auto& state : device.states) state.verdict.state = VerdictState::within;
  }
  CHECK_FALSE(every_verdict_within(run));
  run.combinations[0].verdict.state = VerdictState::within;
  CHECK(every_verdict_within(run));
  run.devices[2].states[1].verdict.state = VerdictState::unproven;
  CHECK_FALSE(every_verdict_within(run));
}
