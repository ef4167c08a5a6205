// SPDX-License-Identifier: Apache-2.0
// Runs of which only the display was logged, as their users meet them.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <nlohmann/json.hpp>
#include <string>

#include "cli/disturb_files.h"

using namespace qn::test;
using nlohmann::json;

namespace {

constexpr double kDeg = 0.017453292519943295;

// What a display of tenths shows at 5 Hz while a light (forward 1.5, right -0.8 uT) and a radio
// (nothing) are worked; H is 20 uT. A little noise, so that it is seen to be alive.
std::string display_log(double heading_deg, double step_deg = 0.1) {
  std::string text = "time_s,heading_deg\n";
  unsigned state = 7;
  for (int k = 0; k < 1000; ++k) {
    const double t = 0.2 * k;
    const bool on = (t >= 30 && t < 50) || (t >= 70 && t < 90) || (t >= 150 && t < 170);
    state = state * 1664525U + 1013904223U;
    const double noise = 0.3 * (static_cast<double>(state >> 8) / 16777216.0 - 0.5);
    const double x = 20.0 * std::cos(heading_deg * kDeg) + (on ? 1.5 : 0.0);
    const double y = -20.0 * std::sin(heading_deg * kDeg) + (on ? -0.8 : 0.0);
    double shown = std::atan2(-y, x) / kDeg + noise;
    shown = step_deg * std::round((shown < 0.0 ? shown + 360.0 : shown) / step_deg);
    char line[64];
    std::snprintf(line, sizeof line, "%.1f,%.5g\n", t, shown);
    text += line;
  }
  return text;
}

const std::string kDisplayMarks =
    "time_s,device,state\n30,light,on\n50,light,off\n70,light,on\n90,light,off\n110,radio,on\n"
    "125,radio,off\n150,light,on\n170,light,off\n180,radio,on\n192,radio,off\n";

class DisplayFolder : public RunFolder {
 public:
  DisplayFolder() {
    write("north.csv", display_log(40.0));
    write("east.csv", display_log(130.0));
    write("marks1.csv", kDisplayMarks);
    write("marks2.csv", kDisplayMarks);
  }
  std::string one(const std::string& more = "") const {
    return words("north.csv", "marks1.csv") + more;
  }
  std::string two(const std::string& more = "") const {
    return one("--also " + path("east.csv") + " " + path("marks2.csv") + " " + more);
  }
};

// asin(1.7 / 20), 1.7 = hypot(1.5, 0.8).
constexpr double kLight_deg = 4.876;

}  // namespace

TEST_CASE("a display on one heading ends with 0, unproven, and says what to do next",
          "[cli][synthetic]") {
  const DisplayFolder run;
  const auto answer = run_program(run.one("--aircraft-heading 40"));
  INFO(answer.out << answer.err);
  CHECK(answer.exit_code == 0);
  CHECK(answer.err.empty());
  CHECK(says(answer.out, "Turn the aircraft by about 90 degrees"));
  CHECK(says(answer.out, "--also LOG2 MARKS2"));
  CHECK_FALSE(says(answer.out, "No effect"));
  CHECK(run_program(run.one("--check")).exit_code == 1);
  const json doc = json::parse(run_program(run.one("--json")).out);
  for (const json& device : doc.at("devices")) {
    CHECK(device.at("states")[0].at("verdict").at("state") == "unproven");
    CHECK(device.at("states")[0].at("unproven") == true);
  }
}

TEST_CASE("a second heading of the display decides", "[cli][synthetic]") {
  const DisplayFolder run;
  const auto answer = run_program(run.two("--aircraft-heading 40 --aircraft-heading2 130 --json"));
  INFO(answer.out << answer.err);
  REQUIRE(answer.exit_code == 0);
  CHECK_FALSE(says(answer.out, "nan"));
  const json doc = json::parse(answer.out);
  const json& light = doc.at("devices")[0];
  CHECK(light.at("name") == "light");
  const json& on = light.at("states")[0];
  CHECK(on.at("worst_heading_error_95_deg")[0].get<double>() <= kLight_deg);
  CHECK(on.at("worst_heading_error_95_deg")[1].get<double>() >= kLight_deg);
  CHECK(on.at("field_uT")[0].get<double>() == Approx(1.5).margin(0.15));
  CHECK(on.at("field_uT")[1].get<double>() == Approx(-0.8).margin(0.15));
  CHECK(on.at("field_uT")[2] == 0.0);
  CHECK(on.at("field_sigma_uT")[2].get<double>() > 100.0);
  CHECK(on.at("verdict").at("state") == "over");
  CHECK(doc.at("devices")[1].at("states")[0].at("verdict").at("state") == "within");
  const json& headings = doc.at("heading_only");
  CHECK(headings.at("heading_source") == "unknown");
  CHECK(headings.at("response").at("kind") == "sharp");
  REQUIRE(headings.at("logs").size() == 2);
  CHECK(headings.at("logs")[1].at("log").at("file") == "east.csv");
  CHECK(headings.at("logs")[1].at("aircraft_heading_deg") == 130.0);
  CHECK(headings.at("logs")[0].at("step_deg").get<double>() == Approx(0.1));
}

TEST_CASE("without --aircraft-heading the display's own heading is used and said",
          "[cli][synthetic]") {
  const DisplayFolder run;
  const auto answer = run_program(run.two());
  INFO(answer.out << answer.err);
  CHECK(answer.exit_code == 0);
  CHECK(says(answer.out, "what its display showed at rest"));
  const json doc = json::parse(run_program(run.two("--json")).out);
  CHECK(doc.at("heading_only").at("logs")[1].at("heading_from_display") == true);
  const double at = doc.at("heading_only").at("logs")[1].at("aircraft_heading_deg").get<double>();
  CHECK(at == Approx(130.0).margin(0.3));
}

TEST_CASE("further headings are given by repeating the two options", "[cli][synthetic]") {
  const DisplayFolder run;
  run.write("south.csv", display_log(200.0));
  const auto answer = run_program(run.two("--aircraft-heading 40 --aircraft-heading2 130 --also " +
                                          run.path("south.csv") + " " + run.path("marks2.csv") +
                                          " --aircraft-heading2 200 --json"));
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  const json doc = json::parse(answer.out);
  REQUIRE(doc.at("heading_only").at("logs").size() == 3);
  CHECK(doc.at("heading_only").at("logs")[2].at("aircraft_heading_deg") == 200.0);
}

TEST_CASE("--also and its headings are refused by themselves when they do not fit",
          "[cli][closed-form]") {
  const DisplayFolder run;
  check_refused(run_program(run.two("--aircraft-heading 40")), 2, "--aircraft-heading2");
  check_refused(run_program(run.two("--aircraft-heading2 130")), 2, "--aircraft-heading");
  check_refused(run_program(run.one("--aircraft-heading 40 --aircraft-heading2 130")), 2,
                "--aircraft-heading2");
  check_refused(run_program(run.two("--aircraft-heading 40 --aircraft-heading2 400")), 2,
                "--aircraft-heading2");
  check_refused(run_program(run.one("--also " + run.path("east.csv"))), 2, "--also");
  // A log of the field needs no second run.
  check_refused(
      run_program(run.words() + "--also " + run.path("east.csv") + " " + run.path("marks2.csv")), 2,
      "--also");
}

TEST_CASE("a further log or its marks that cannot be used are refused by file and line",
          "[cli][closed-form]") {
  const DisplayFolder run;
  const auto with = [&](const std::string& log, const std::string& marks) {
    return run_program(run.one("--also " + run.path(log) + " " + run.path(marks)));
  };
  check_refused(with("missing.csv", "marks2.csv"), 3, "missing.csv");
  check_refused(with("log.csv", "marks2.csv"), 3, "log.csv");  // a field and no heading
  check_refused(with("east.csv", "none.csv"), 3, "none.csv");
  run.write("far.csv", "time_s,device,state\n9000,light,on\n9020,light,off\n");
  check_refused(with("east.csv", "far.csv"), 3, "far.csv");
  run.write("brief.csv", "time_s,heading_deg\n0,40\n1,41\n2,40\n");
  check_refused(with("brief.csv", "marks2.csv"), 3, "brief.csv");
  check_refused(run_program(run.words("brief.csv", "marks1.csv")), 3, "brief.csv");
  run.write("empty.csv", "time_s,heading_deg\n0,\n1,\n2,\n");
  check_refused(run_program(run.words("empty.csv", "marks1.csv")), 3, "column 2 (heading_deg)");
  run.write("other.csv", "time_s,volume\n0,40\n1,41\n2,40\n");
  check_refused(run_program(run.words("other.csv")), 3, "field_x_uT");
}

TEST_CASE("a display that stands still is not proof of anything", "[cli][closed-form]") {
  const DisplayFolder run;
  std::string still = "time_s,heading_deg\n";
  for (int k = 0; k < 1000; ++k) still += std::to_string(0.2 * k) + ",75\n";
  run.write("still.csv", still);
  const auto answer = run_program(run.words("still.csv", "marks1.csv") + "--also " +
                                  run.path("still.csv") + " " + run.path("marks2.csv"));
  INFO(answer.out << answer.err);
  CHECK(answer.exit_code == 0);
  CHECK(says(answer.out, "one and the same heading"));
  CHECK_FALSE(says(answer.out, "No effect"));
}
