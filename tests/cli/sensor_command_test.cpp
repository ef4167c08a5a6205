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

TEST_CASE("sensor LOG is short for sensor fit LOG", "[cli][synthetic]") {
  const SimulatedFolder made("tumble");
  const auto fit = run_program("sensor fit " + made.log() + kThere);
  CHECK(fit.exit_code == 0);
  CHECK(fit.err.empty());
  CHECK_FALSE(fit.out.empty());
  CHECK(run_program("sensor " + made.log() + kThere).out == fit.out);
}

TEST_CASE("the answer for people starts with the verdict and fits 80 columns", "[cli][synthetic]") {
  for (const char* scenario : {"tumble", "swing", "arc", "rest", "counts"}) {
    const SimulatedFolder made(scenario);
    const auto run = run_program("sensor " + made.log() + kThere);
    INFO(scenario << "\n" << run.out << run.err);
    REQUIRE(run.exit_code == 0);
    CHECK(run.out.rfind("unproven\n", 0) == 0);
    CHECK(says(run.out, "Next: "));
    CHECK(says(run.out, "What this recording cannot show"));
    CHECK_FALSE(says(run.out, "\x1b"));
    std::istringstream lines(run.out);
    for (std::string line; std::getline(lines, line);) {
      std::size_t columns = 0;  // UTF-8: bytes that continue a character take no column
      for (const char c : line) {
        if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) ++columns;
      }
      CHECK(columns <= 80);
    }
  }
}

TEST_CASE("--json prints one document of the schema", "[cli][synthetic]") {
  const SimulatedFolder made("tumble");
  const auto run = run_program("sensor " + made.log() + kThere + "--json --aircraft Tern");
  REQUIRE(run.exit_code == 0);
  const json doc = json::parse(run.out);
  CHECK(doc.at("schema") == "quietnorth/sensor-fit/1");
  CHECK(doc.at("verdict").at("state") == "unproven");
  CHECK(doc.at("frame") == "sensor");
  CHECK(doc.at("recording").at("file") == "log.csv");
  CHECK(doc.at("recording").at("aircraft") == "Tern");
  CHECK(doc.at("recording").at("sha256").get<std::string>().size() == 64);
  CHECK_FALSE(says(run.out, made.path("")));  // no path of the machine in a document
}

TEST_CASE("the offset of a simulated tumble is the truth within its sigma", "[cli][synthetic]") {
  for (const char* scenario : {"tumble", "counts"}) {
    const SimulatedFolder made(scenario);
    const auto run = run_program("sensor " + made.log() + kThere + "--json");
    REQUIRE(run.exit_code == 0);
    const json doc = json::parse(run.out);
    const json truth = json::parse(bytes_of(made.path("truth.json")));
    for (std::size_t i = 0; i < 3; ++i) {
      const double off = doc.at("offset_raw")[i].get<double>() *
                             (doc.at("raw_unit") == "counts" ? 1.0 / 6.5 : 1.0) -
                         truth.at("hard_iron_uT")[i].get<double>();
      CHECK(std::abs(off) < 4.0 * doc.at("offset_sigma_uT")[i].get<double>());
    }
  }
}

TEST_CASE("--check ends with 1 unless the verdict is within", "[cli][synthetic]") {
  const SimulatedFolder unproven("swing");
  const auto plain = run_program("sensor " + unproven.log() + kThere);
  const auto checked = run_program("sensor " + unproven.log() + kThere + "--check");
  CHECK(plain.exit_code == 0);
  CHECK(checked.exit_code == 1);
  CHECK(checked.out == plain.out);
  CHECK(checked.err.empty());

  const SimulatedFolder demo("demo");
  const std::string words =
      "sensor " + demo.log() + kThere + "--stations " + demo.path("stations.csv") + " --check ";
  const auto within = run_program(words + "--limit-deg 10");
  CHECK(within.out.rfind("within\n", 0) == 0);
  CHECK(within.exit_code == 0);
  const auto tight = run_program(words + "--limit-deg 0.001");
  CHECK(tight.exit_code == 1);
  CHECK(says(tight.out, "your own limit"));
}

TEST_CASE("--sheet writes the whole page, in both kinds", "[cli][synthetic]") {
  const SimulatedFolder made("tumble");
  const std::string pdf_path = made.path("sensor.pdf");
  const std::string svg_path = made.path("sensor.svg");
  const auto run = run_program("sensor " + made.log() + kThere + "--sheet " + pdf_path);
  CHECK(run.exit_code == 0);
  const std::string pdf = bytes_of(pdf_path);
  CHECK(pdf.rfind("%PDF-", 0) == 0);
  CHECK(pdf.size() > 10000);
  CHECK(pdf.substr(pdf.size() - 8).find("%%EOF") != std::string::npos);
  // The answer itself does not change.
  CHECK(run.out == run_program("sensor " + made.log() + kThere).out);

  CHECK(run_program("sensor " + made.log() + kThere + "--paper letter --sheet " + svg_path)
            .exit_code == 0);
  const std::string svg = bytes_of(svg_path);
  CHECK(says(svg.substr(0, 200), "<svg"));
  CHECK(says(svg.substr(svg.size() - 10), "</svg>"));
}

TEST_CASE("a sheet of an unknown kind is refused before anything is read", "[cli][closed-form]") {
  const TemporaryFolder folder;
  for (const char* name : {"sheet.png", "sheet", "sheet.PDF.txt"}) {
    const std::string path = folder.path(name);
    check_refused(run_program("sensor " + folder.path("missing.csv") + kThere + "--sheet " + path),
                  2, "--sheet");
    CHECK_FALSE(std::filesystem::exists(path));
  }
}

TEST_CASE("a sheet or an answer that cannot be written ends in exit 4", "[cli][synthetic]") {
  const SimulatedFolder made("tumble");
  const std::string sheet = made.path("no/such/folder/sheet.pdf");
  check_refused(run_program("sensor " + made.log() + kThere + "--sheet " + sheet), 4, "sheet.pdf");
  CHECK_FALSE(std::filesystem::exists(made.path("no")));
  CHECK(run_program("sensor " + made.log() + kThere + "> /dev/full").exit_code == 4);
}

TEST_CASE("apply writes the corrected log, whole or not at all", "[cli][synthetic]") {
  const SimulatedFolder made("tumble");
  const auto fit = run_program("sensor " + made.log() + kThere + "--json");
  const std::string fit_path = made.write("fit.json", fit.out);
  const std::string words = "sensor apply " + fit_path + " " + made.log();
  const auto printed = run_program(words);
  REQUIRE(printed.exit_code == 0);
  CHECK(says(printed.out, "heading_deg,heading_lo_deg,heading_hi_deg\n"));

  const std::string out = made.path("corrected.csv");
  const auto filed = run_program(words + " --out " + out);
  CHECK(filed.exit_code == 0);
  CHECK(says(filed.out, " samples corrected into "));
  CHECK(bytes_of(out) == printed.out);
  // The corrected log is a sensor log: solving it again finds next to nothing to correct.
  const auto again = run_program("sensor " + out + kThere + "--json");
  REQUIRE(again.exit_code == 0);
  const json document = json::parse(again.out);
  for (const auto& offset : document.at("offset_uT")) {
    CHECK(std::abs(offset.get<double>()) < 0.1);
  }

  const std::string cut = made.write("cut.json", fit.out.substr(0, fit.out.size() / 2));
  const std::string never = made.path("never.csv");
  check_refused(run_program("sensor apply " + cut + " " + made.log() + " --out " + never), 3,
                "cut.json");
  CHECK_FALSE(std::filesystem::exists(never));
  check_refused(run_program(words + " --out " + made.path("no/where.csv")), 4, "where.csv");
}

TEST_CASE("the real recording of counts gives the answer of 2026-11-25", "[cli][regression]") {
  // tests/replay/SOURCES.md. Offsets within 3 of that day's sigmas; nobody knows the truth.
  const std::string log = QN_SOURCE_DIR "/tests/replay/tumble-counts-50hz.csv";
  const std::string words = "sensor \"" + log + "\" --at -32.9,-68.8 --on 2025-11-01 ";
  const auto run = run_program(words + "--json");
  REQUIRE(run.exit_code == 0);
  const json doc = json::parse(run.out);
  const double offset_uT[] = {131.417, -1.049, 48.865};
  const double sigma_uT[] = {0.828, 0.247, 0.321};
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(doc.at("offset_uT")[i].get<double>() ==
          Approx(offset_uT[i]).margin(3.0 * sigma_uT[i]).epsilon(0));
    CHECK(doc.at("offset_sigma_uT")[i].get<double>() > 0.0);
  }
  CHECK(doc.at("raw_unit") == "counts");
  CHECK(doc.at("motion") == "tumble");
  CHECK(doc.at("frame") == "sensor");
  CHECK(doc.at("verdict").at("state") == "unproven");
  CHECK(run_program(words).exit_code == 0);
  CHECK(run_program(words + "--check").exit_code == 1);
}

// Regression of 2026-11-25: the two visits were joined with what lies between.
TEST_CASE("a mark driven past and one taken twice are found out and shift nothing",
          "[cli][synthetic]") {
  const SimulatedFolder made("missed");
  const auto run = run_program("sensor " + made.log() + kThere + "--json --stations " +
                               made.path("stations.csv"));
  REQUIRE(run.exit_code == 0);
  const json stations = json::parse(run.out).at("stations");
  REQUIRE(stations.size() == 12);
  for (const json& station : stations) {
    INFO(station);
    if (station.at("station_deg") == 90.0) {
      CHECK(station.at("from_s").is_null());
    } else {
      // Placed to 0.4 degrees, a common 0.15 and the fit's own: 4 sigma are 1.8.
      CHECK(std::abs(station.at("residual_deg").get<double>()) < 1.8);
    }
  }
}
