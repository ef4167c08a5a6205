// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "support/program_run.h"

using qn::test::run_program;

TEST_CASE("the program says its version and its help on standard output", "[cli][closed-form]") {
  const auto version = run_program("--version");
  CHECK(version.exit_code == 0);
  CHECK(version.out.rfind("quietnorth ", 0) == 0);
  const auto help = run_program("--help");
  CHECK(help.exit_code == 0);
  CHECK(help.out.find("earth") != std::string::npos);
  CHECK(help.err.empty());
}

TEST_CASE("earth prints the report's first row as JSON", "[cli][published]") {
  // WMM2025 report, DOI 10.25923/prbc-s316, table of test values, row 1: 2025.0, 0 km, 80 N, 0 E.
  // Half the last printed digit, in microtesla and degrees.
  const auto run = run_program("earth --at 80,0 --on 2025-01-01 --json");
  REQUIRE(run.exit_code == 0);
  const auto json = nlohmann::json::parse(run.out);
  CHECK(json.at("schema") == "quietnorth/earth/1");
  CHECK(json.at("X_uT").get<double>() == Approx(6.5216).margin(5e-5).epsilon(0));
  CHECK(json.at("Y_uT").get<double>() == Approx(0.1459).margin(5e-5).epsilon(0));
  CHECK(json.at("Z_uT").get<double>() == Approx(54.7915).margin(5e-5).epsilon(0));
  CHECK(json.at("H_uT").get<double>() == Approx(6.5232).margin(5e-5).epsilon(0));
  CHECK(json.at("F_uT").get<double>() == Approx(55.1785).margin(5e-5).epsilon(0));
  CHECK(json.at("dip_deg").get<double>() == Approx(83.21).margin(5e-3).epsilon(0));
  CHECK(json.at("declination_deg").get<double>() == Approx(1.28).margin(5e-3).epsilon(0));
  CHECK(json.at("per_year").at("declination_deg").get<double>() ==
        Approx(0.52).margin(5e-3).epsilon(0));
}

TEST_CASE("a place in the south and west may start with a minus sign", "[cli][closed-form]") {
  const auto apart = run_program("earth --at -32.9,-68.8 --on 2025-11-01 --json");
  const auto joined = run_program("earth --at=-32.9,-68.8 --on=2025-11-01 --json");
  CHECK(apart.exit_code == 0);
  CHECK(joined.out == apart.out);
  const auto json = nlohmann::json::parse(apart.out);
  CHECK(json.at("place").at("latitude_deg") == -32.9);
  CHECK(json.at("place").at("longitude_deg") == -68.8);
}

TEST_CASE("the table for people fits 80 columns, also in the blackout zone", "[cli][closed-form]") {
  for (const char* at : {"-32.9,-68.8", "-89.123456,-179.123456,12345.6", "86,-95"}) {
    const auto run = run_program(std::string{"earth --on 2026-05-14 --at "} + at);
    REQUIRE(run.exit_code == 0);
    std::istringstream lines(run.out);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    CHECK(run.out.find('\x1b') == std::string::npos);  // no colour into a pipe
  }
  CHECK(run_program("earth --at 86,-95 --on 2026-05-14").out.find("Blackout") != std::string::npos);
}

TEST_CASE("an option that is wrong by itself ends in exit 2 and says what to do",
          "[cli][closed-form]") {
  for (const char* words :
       {"earth --at 95,0 --on 2026-05-14", "earth --at 10,20 --on 2031-01-01",
        "earth --at 10,20 --on 2024-12-31", "earth --at 10,20,900000 --on 2026-05-14",
        "earth --at 10 --on 2026-05-14", "earth --at 10,20 --on 14.5.2026", "earth --at 10,20",
        "earth --on 2026-05-14", "earth", "earth --bogus", "bogus", "", "earth --at"}) {
    INFO("quietnorth " << words);
    const auto run = run_program(words);
    CHECK(run.exit_code == 2);
    CHECK(run.out.empty());
    for (const char* part : {"quietnorth: ", "where:", "expected:", "do:"}) {
      CHECK(run.err.find(part) != std::string::npos);
    }
  }
  CHECK(run_program("earth --at 95,0 --on 2026-05-14").err.find("--at") != std::string::npos);
  CHECK(run_program("earth --at 5,0 --on 2036-05-14").err.find("--on") != std::string::npos);
  CHECK(run_program("bogus").err.find("'bogus'") != std::string::npos);
}

TEST_CASE("an answer that cannot be written ends in exit 4", "[cli][closed-form]") {
  const auto run = run_program("earth --at 10,20 --on 2026-05-14 > /dev/full");
  CHECK(run.exit_code == 4);
  CHECK(run.err.find("could not be written") != std::string::npos);
}
