// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "cli/sensor_files.h"

using namespace qn::test;
using nlohmann::json;

namespace {

std::string brindle() { return std::string{QN_SOURCE_DIR} + "/tests/data/brindle-equipment.csv"; }

}  // namespace

TEST_CASE("a plan for people says its sentence first and fits 80 columns", "[cli][synthetic]") {
  const auto run = run_program("disturb plan " + brindle());
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  CHECK(run.out.rfind("16 devices in ", 0) == 0);
  for (const char* words :
       {"Before anything moves", "local rules", "charger", "Horizontal field 20", "assumed",
        "not a published one", "Everything at once"}) {
    CHECK(says(run.out, words));
  }
  std::istringstream lines(run.out);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(line.size() <= 80);
    CHECK((line.empty() || line.back() != ' '));
  }
}

TEST_CASE("--json prints one plan whose half-widths follow the field", "[cli][closed-form]") {
  const auto run = run_program("disturb plan " + brindle() +
                               " --horizontal-uT 30 --vertical-uT 40 --limit-deg 0.5 --json");
  REQUIRE(run.exit_code == 0);
  const json doc = json::parse(run.out);
  CHECK(doc.at("schema") == "quietnorth/disturbance-plan/1");
  CHECK(doc.at("limit_deg") == 0.5);
  CHECK(doc.at("limit_basis") == "your own limit");
  CHECK(doc.at("earth").at("H_uT") == 30.0);
  CHECK(doc.at("states").size() == 18);  // 16 devices, two of them with a third state
  for (const json& state : doc.at("states")) {
    CHECK(state.at("visits") >= 2);
    CHECK(state.at("enough") == (state.at("half_width_deg") < 0.05));
  }
  double seconds = doc.at("first_rest_s");
  for (const json& step : doc.at("steps")) {
    seconds += step.at("lead_s").get<double>() + 2.0 * step.at("transit_s").get<double>() +
               step.at("dwell_s").get<double>() + step.at("rest_s").get<double>() +
               step.at("trail_s").get<double>();
  }
  CHECK(doc.at("total_s").get<double>() == Approx(seconds).epsilon(1e-12));
}

TEST_CASE("the plan's sheet is written whole, or not at all", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const auto made = run_program("disturb plan " + brindle() + " --paper letter --sheet " +
                                folder.path("plan.pdf"));
  CHECK(made.exit_code == 0);
  CHECK(bytes_of(folder.path("plan.pdf")).rfind("%PDF", 0) == 0);
  check_refused(run_program("disturb plan " + brindle() + " --sheet plan.txt"), 2, "--sheet");
  check_refused(
      run_program("disturb plan " + brindle() + " --sheet " + folder.path("nowhere/plan.pdf")), 4,
      "plan.pdf");
  CHECK_FALSE(std::filesystem::exists(folder.path("nowhere")));
}

TEST_CASE("a plan that cannot be made names option or line", "[cli][synthetic]") {
  const TemporaryFolder folder;
  check_refused(run_program("disturb plan " + folder.path("none.csv")), 3, "none.csv");
  check_refused(run_program("disturb plan " + folder.write("e.csv", "device,states\nLamp,on\n")), 3,
                "e.csv, line 2, column 2 (states)");
  check_refused(run_program("disturb plan " + brindle() + " --noise-uT 0"), 2, "--noise-uT");
  check_refused(run_program("disturb plan " + brindle() + " --rate-Hz -1"), 2, "--rate-Hz");
  check_refused(run_program("disturb plan " + brindle() + " --limit-deg 0"), 2, "--limit-deg");
  check_refused(run_program("disturb plan " + brindle() + " --horizontal-uT 20"), 2,
                "--vertical-uT");
}
