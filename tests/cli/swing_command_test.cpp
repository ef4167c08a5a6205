// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "cli/sensor_files.h"

using namespace qn::test;
using nlohmann::json;

namespace {

// Made up: A 0.5, B 5, C 3 and a reading of 094 on 090 where 084 was shown.
constexpr const char* kSwing =
    "station_deg,indicated_deg,compass\n0,358,standby\n30,24,standby\n60,53,standby\n"
    "90,94,standby\n120,116,standby\n150,150,standby\n180,184,standby\n210,215,standby\n"
    "240,246,standby\n270,274,standby\n300,302,standby\n330,330,standby\n";

}  // namespace

TEST_CASE("a swing for people names the wrong reading and fits 80 columns", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const auto run = run_program("swing solve " + folder.write("s.csv", kSwing));
  REQUIRE(run.exit_code == 0);
  CHECK(run.out.rfind("standby: within", 0) == 0);
  for (const char* words : {"Row 4, station 090", "misread by 10", "14 CFR 23.1327", "assumed"}) {
    CHECK(says(run.out, words));
  }
  std::istringstream lines(run.out);
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
}

TEST_CASE("one compass stands at the top of the document too", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  const json doc = json::parse(run_program("swing solve " + file + " --json").out);
  CHECK(doc.at("schema") == "quietnorth/swing/1");
  CHECK(doc.at("gross_row") == 3);
  CHECK(doc.at("compasses").size() == 1);
  CHECK(doc.at("coefficients_deg") == doc.at("compasses")[0].at("coefficients_deg"));
  CHECK(doc.at("curve").size() == 36);
  CHECK(run_program("swing solve " + file + " --check").exit_code == 0);
  CHECK(run_program("swing solve " + file + " --limit standby=2 --check").exit_code == 1);
}

TEST_CASE("a card has every item of its placard", "[cli][published]") {
  // 14 CFR 27.1547: level flight, engine, radio on or off, magnetic headings in steps (of 45 deg at
  // most there; 30 in 23.1547).
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  const auto run = run_program("card " + file + " --engine running --radio on");
  REQUIRE(run.exit_code == 0);
  for (const char* words : {"FOR", "STEER", "level flight", "Engine running", "Radio on", "Date",
                            "Place", "Signature", "   330 "}) {
    CHECK(says(run.out, words));
  }
  const json doc = json::parse(run_program("card " + file + " --json").out);
  CHECK(doc.at("schema") == "quietnorth/card/1");
  for (const json& row : doc.at("cards")[0].at("rows")) {
    const double back = row.at("steer")[0].at("steer_deg").get<double>() +
                        row.at("steer")[0].at("deviation_deg").get<double>();
    CHECK(std::remainder(back - row.at("for_deg").get<double>(), 360.0) ==
          Approx(0.0).margin(1e-9));
  }
}

TEST_CASE("a swing that cannot be read names option or line", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  check_refused(run_program("swing solve " + folder.path("none.csv")), 3, "none.csv");
  check_refused(run_program("swing solve " + file + " --limit remote=2"), 2, "--limit");
  check_refused(run_program("swing solve " + file + " --stations-are true"), 2, "--variation-deg");
  check_refused(run_program("swing solve " + file + " --rounding-deg -1"), 2, "--rounding-deg");
  check_refused(run_program("card " + file + " --steps 7"), 2, "--steps");
}
