// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "cli/disturb_files.h"

using namespace qn::test;
using nlohmann::json;

TEST_CASE("the answer of a run starts with the sentence and fits 80 columns", "[cli][synthetic]") {
  const RunFolder run;
  const auto answer = run_program(run.listed());
  INFO(answer.out << answer.err);
  REQUIRE(answer.exit_code == 0);
  const json doc = json::parse(run_program(run.listed() + "--json").out);
  const std::string sentence = doc.at("sentence").get<std::string>();
  CHECK(answer.out.substr(0, 20) == sentence.substr(0, 20));
  for (const char* words : {"Each device, worst first", "light", "Limit 1.0°: ", "Advisory"}) {
    CHECK(says(answer.out, words));
  }
  CHECK_FALSE(says(answer.out, "\x1b"));  // not a terminal: no escape codes
  std::istringstream lines(answer.out);
  for (std::string line; std::getline(lines, line);) {
    std::size_t columns = 0;  // UTF-8: bytes that continue a character take no column
    for (const char c : line) {
      if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) ++columns;
    }
    CHECK(columns <= 80);
  }
}

TEST_CASE("--json prints one document of the run, without a path", "[cli][synthetic]") {
  const RunFolder run;
  const auto answer =
      run_program(run.listed() + "--json --aircraft Tern --aircraft-heading 040 --rigid");
  REQUIRE(answer.exit_code == 0);
  const json doc = json::parse(answer.out);
  CHECK(doc.at("schema") == "quietnorth/disturbance/1");
  CHECK(doc.at("recording").at("file") == "log.csv");
  CHECK(doc.at("recording").at("aircraft") == "Tern");
  CHECK(doc.at("recording").at("aircraft_heading_deg") == 40.0);
  CHECK(doc.at("marks").at("file") == "marks.csv");
  CHECK(doc.at("equipment").at("sha256").get<std::string>().size() == 64);
  CHECK_FALSE(says(answer.out, run.path("")));
  // 1 uT forward across H = 20 uT: asin(1 / 20) = 2.866 degrees.
  const json& light = doc.at("devices")[0];
  CHECK(light.at("name") == "light");
  const json& on = light.at("states")[0];
  CHECK(on.at("worst_heading_error_deg").get<double>() == Approx(2.866).margin(0.2));
  CHECK(on.at("verdict").at("state") == "over");
}

TEST_CASE("a mounting turns what the device does", "[cli][synthetic]") {
  const RunFolder run;
  const auto answer = run_program(run.listed() + "--json --mount x=-y,y=x,z=z");
  REQUIRE(answer.exit_code == 0);
  // Body y is the sensor's x, in which the light stands.
  const json field = json::parse(answer.out).at("devices")[0].at("states")[0].at("field_uT");
  CHECK(field[0].get<double>() == Approx(0.0).margin(0.1));
  CHECK(field[1].get<double>() == Approx(1.0).margin(0.1));
}

TEST_CASE("--check of a run ends with 1 unless every verdict is within", "[cli][synthetic]") {
  const RunFolder run;
  const auto plain = run_program(run.words());
  const auto checked = run_program(run.words() + "--check");
  CHECK(plain.exit_code == 0);
  CHECK(checked.exit_code == 1);
  CHECK(checked.out == plain.out);
  const auto wide = run_program(run.words() + "--check --limit-deg 30");
  CHECK(wide.exit_code == 0);
  CHECK(says(wide.out, "your own limit"));
}

TEST_CASE("--sheet writes the sheets of the run, and the answer stays", "[cli][synthetic]") {
  const RunFolder run;
  const std::string pdf = run.path("run.pdf"), svg = run.path("run.svg");
  const auto answer = run_program(run.listed() + "--sheet " + pdf);
  CHECK(answer.exit_code == 0);
  CHECK(answer.out == run_program(run.listed()).out);
  CHECK(bytes_of(pdf).rfind("%PDF-", 0) == 0);
  CHECK(run_program(run.listed() + "--paper letter --sheet " + svg).exit_code == 0);
  CHECK(says(bytes_of(svg).substr(0, 200), "<svg"));
  check_refused(run_program(run.words() + "--sheet " + run.path("no/such/run.pdf")), 4, "run.pdf");
  CHECK(run_program(run.words() + "> /dev/full").exit_code == 4);
}
