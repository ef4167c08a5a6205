// SPDX-License-Identifier: Apache-2.0
#include "app/simulate_disturbance.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "acquire/sensor_log.h"
#include "app/codec_equipment.h"
#include "app/codec_marks.h"
#include "app/read_text_file.h"
#include "support/temporary_folder.h"

using namespace qn;

namespace {

SimulateDisturbanceRequest demo_request(const std::string& folder) {
  SimulateDisturbanceRequest request;
  request.equipment_path = std::string{QN_SOURCE_DIR} + "/data/demo/equipment.csv";
  request.folder = folder;
  request.preset = "demo";
  request.rate_Hz = 5;
  return request;
}

std::string bytes_of(const std::string& path) {
  const auto text = read_text_file(path);
  REQUIRE(text.has_value());
  return text.value();
}

}  // namespace

TEST_CASE("a simulated run is written in the formats that the program reads", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const auto made = simulate_disturbance(demo_request(folder.path("run")));
  REQUIRE(made.has_value());
  const auto& files = made.value();
  const auto equipment = read_equipment(files.equipment_path);
  REQUIRE(equipment.has_value());
  CHECK(equipment.value().size() == 14);
  const auto marks = read_marks(files.marks_path);
  REQUIRE(marks.has_value());
  const auto truth = nlohmann::json::parse(bytes_of(files.truth_path));
  CHECK(truth["schema"] == "quietnorth/disturbance-truth/1");
  REQUIRE(truth["marks"].size() == marks.value().size());
  for (std::size_t m = 0; m < marks.value().size(); ++m) {
    CHECK(marks.value()[m].time_s == truth["marks"][m]["time_s"].get<double>());
    CHECK(marks.value()[m].device == truth["marks"][m]["device"].get<std::string>());
  }
  CHECK(truth["devices"].size() == 14);
  CHECK(truth["combinations"][0]["phase"] == "everything");
  const auto log = read_sensor_log(files.log_path, {});
  REQUIRE(log.has_value());
  CHECK(log.value().size() == files.samples);
  CHECK(files.steps > 14 * 3);
}

TEST_CASE("the same request writes the same bytes into any folder", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const auto a = simulate_disturbance(demo_request(folder.path("a")));
  const auto b = simulate_disturbance(demo_request(folder.path("b")));
  REQUIRE(a.has_value());
  REQUIRE(b.has_value());
  CHECK(bytes_of(a.value().log_path) == bytes_of(b.value().log_path));
  CHECK(bytes_of(a.value().marks_path) == bytes_of(b.value().marks_path));
  CHECK(bytes_of(a.value().truth_path) == bytes_of(b.value().truth_path));
}

TEST_CASE("faults are switched by name, and a wrong name writes nothing", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  auto request = demo_request(folder.path("run"));
  request.without_faults = {"late", "skipped", "substituted", "unplanned", "drift"};
  const auto made = simulate_disturbance(request);
  REQUIRE(made.has_value());
  CHECK(made.value().late == 0);
  CHECK(made.value().skipped == 0);
  CHECK(made.value().substituted == 0);
  CHECK(made.value().unplanned == 0);
  CHECK(made.value().drift_uT == 0.0);
  request.folder = folder.path("none");
  request.without_faults = {"gremlins"};
  const auto refused = simulate_disturbance(request);
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().kind == ErrorKind::OutOfRange);
  CHECK(refused.error().where == "option --without");
  CHECK_FALSE(std::filesystem::exists(request.folder));
}

TEST_CASE("impossible numbers of a simulation are refused", "[app]") {
  const test::TemporaryFolder folder;
  const auto where = [&](auto change) {
    auto request = demo_request(folder.path("none"));
    change(request);
    const auto made = simulate_disturbance(request);
    return made.has_value() ? std::string{} : made.error().where;
  };
  using Request = SimulateDisturbanceRequest;
  CHECK(where([](Request& r) { r.rate_Hz = 0; }) == "option --rate-Hz");
  CHECK(where([](Request& r) { r.noise_uT = -1; }) == "option --noise-uT");
  CHECK(where([](Request& r) { r.aircraft_heading_deg = 360; }) == "option --aircraft-heading");
  CHECK(where([](Request& r) { r.passes = 0; }) == "option --passes");
  CHECK(where([](Request& r) { r.preset = "awful"; }) == "option --preset");
  CHECK(where([](Request& r) { r.folder.clear(); }) == "option --out");
}
