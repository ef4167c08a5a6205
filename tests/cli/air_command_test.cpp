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

// D. Gray, "Using GPS to accurately establish True Airspeed" (June 1998).
constexpr const char* kGray = "leg,track_deg,groundspeed_kt\n1,192,140\n2,283,112\n3,20,120\n";
// Horton, "Finding TAS from GPS data": airspeed 100, wind 20 from the west.
constexpr const char* kFour =
    "leg,indicated_deg,track_deg,groundspeed_kt\n"
    "1,0,11.31,101.98\n2,90,90,120\n3,180,168.69,101.98\n4,270,270,80\n";

}  // namespace

TEST_CASE("legs by hand give wind, airspeed and heading in one document", "[cli][published]") {
  const TemporaryFolder folder;
  const json gray =
      json::parse(run_program("air solve " + folder.write("g.csv", kGray) + " --json").out);
  CHECK(gray.at("schema") == "quietnorth/air-check/1");
  CHECK(gray.at("tas_kt").get<double>() == Approx(129.99852349653085).epsilon(1e-10));
  CHECK(gray.at("wind_kt").get<double>() == Approx(20.633444022957).epsilon(1e-9));
  CHECK(gray.at("coefficients_deg").at("A").is_null());
  CHECK(gray.at("verdict").at("state") == "unproven");
  const std::string four = folder.write("f.csv", kFour);
  const json doc =
      json::parse(run_program("air solve " + four + " --tracks-are magnetic --json").out);
  CHECK(doc.at("wind_kt").get<double>() == Approx(20.0).margin(0.01));
  CHECK(doc.at("wind_from_north") == "magnetic");
  CHECK(doc.at("legs").size() == 4);
  CHECK(doc.at("legs")[0].at("used") == true);
  CHECK(doc.at("sigma_deg").at("D").is_null());
  CHECK(doc.at("combination").at("of_E").get<double>() == Approx(1.0).margin(0.01));
  CHECK(doc.at("next_legs_deg").size() == 2);
  CHECK(doc.at("wind_sigma_kt").size() == 2);
}

TEST_CASE("an air check for people fits 80 columns and says what it cannot prove",
          "[cli][published]") {
  const TemporaryFolder folder;
  const std::string four = folder.write("f.csv", kFour);
  const auto run = run_program("air solve " + four + " --variation-deg 0 --limit-deg 12");
  REQUIRE(run.exit_code == 0);
  for (const char* words :
       {"cannot prove", "sideslip", "Not for navigation", "D   not told", "two further legs"}) {
    CHECK(says(run.out, words));
  }
  std::istringstream lines(run.out);
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
  CHECK(run_program("air solve " + four + " --variation-deg 0 --limit-deg 1 --check").exit_code ==
        1);
  CHECK(run_program("air solve " + four + " --variation-deg 0 --limit-deg 30 --check").exit_code ==
        0);
}

TEST_CASE("a simulated flight is solved from CSV, NMEA and by hand", "[cli][synthetic]") {
  const TemporaryFolder folder;
  REQUIRE(run_program("air simulate --seed 5 --legs 8 --out " + folder.path("f")).exit_code == 0);
  const json truth = json::parse(bytes_of(folder.path("f/truth.json")));
  const double variation = truth.at("variation_deg");
  for (const char* name : {"f/flight.csv", "f/flight.nmea", "f/legs.csv"}) {
    INFO(name);
    const auto run = run_program("air solve " + folder.path(name) + " --json --variation-deg " +
                                 std::to_string(variation));
    REQUIRE(run.exit_code == 0);
    const json doc = json::parse(run.out);
    CHECK(doc.at("tas_kt").get<double>() ==
          Approx(truth.at("tas_kt").get<double>())
              .margin(4.0 * doc.at("tas_sigma_kt").get<double>()));
    for (const char* k : {"A", "B", "C", "D", "E"}) {
      INFO(k);
      const double sigma = doc.at("sigma_deg").at(k);
      CHECK(doc.at("coefficients_deg").at(k).get<double>() ==
            Approx(truth.at("coefficients_deg").at(k).get<double>()).margin(4.0 * sigma));
    }
    std::size_t used = 0;
    for (const json& leg : doc.at("legs")) {
      if (leg.at("used")) ++used;
      CHECK(leg.at("why_not").is_null() == leg.at("used").get<bool>());
    }
    CHECK(used == 8);
  }
}

TEST_CASE("flights that cannot decide are unproven, with the reason", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string opposite = folder.write(
      "o.csv", "leg,indicated_deg,track_deg,groundspeed_kt\n1,30,32,120\n2,210,208,100\n");
  const auto run = run_program("air solve " + opposite + " --variation-deg 3");
  CHECK(run.exit_code == 0);
  CHECK(says(run.out, "unproven; 2 legs along one line"));
  std::string turning = "time_s,indicated_deg,track_deg,groundspeed_kt\n";
  for (int t = 0; t < 200; ++t) {
    turning += std::to_string(t) + "," + std::to_string(3 * t % 360) + "," +
               std::to_string(3 * t % 360) + ",90\n";
  }
  const std::string circles = folder.write("c.csv", turning);
  const auto round = run_program("air solve " + circles + " --variation-deg 3 --check");
  CHECK(round.exit_code == 1);
  CHECK(says(round.out, "unproven; no stretch"));
  CHECK(says(round.out, "heading changed"));
}

TEST_CASE("bad legs and options are refused by name", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const auto refused = [&](const std::string& csv, const std::string& names) {
    check_refused(run_program("air solve " + folder.write("x.csv", csv)), 3, names);
  };
  refused("leg,indicated_deg,track_deg,groundspeed_kt\n1,400,10,100\n", "line 2, column 2");
  refused("leg,indicated_deg,track_deg,groundspeed_kt\n1,40,10,\n", "ground speed is missing");
  refused("leg,indicated_deg,track_deg\n1,40,10\n", "groundspeed_kt");
  refused("", "leg,indicated_deg,track_deg,groundspeed_kt");
  refused("# nothing flown yet\n\n", "the file has no legs");
  refused("leg,indicated_deg,track_deg,groundspeed_kt\n", "the file has no legs");
  refused("time_s,indicated_deg,track_deg,groundspeed_kt\n5,40,10,90\n3,40,10,90\n", "goes back");
  refused("$GPRMC,100000,A,4918.0,N,01012.0,E,90,10,140526,,,A\n", "no heading");
  refused("$HCHDT,100.0,T\n$HCHDT,100.0,T\n", "HDT");
  const std::string four = folder.write("f.csv", kFour);
  check_refused(run_program("air solve " + four + " --tracks-are up"), 2, "--tracks-are");
  check_refused(run_program("air solve " + four + " --sideslip-sigma-deg 0"), 2, "--sideslip");
  check_refused(run_program("air solve " + four + " --stations-are up"), 2, "--headings-are");
  check_refused(run_program("air plan --tas-kt 100 --minutes 5"), 2, "--minutes");
  for (const char* wind : {"240", "240/", "/15", "370/15", "240/-5", "240/15kt", "240/95"}) {
    INFO(wind);
    check_refused(run_program(std::string{"air plan --tas 100 --minutes 24 --wind-guess "} + wind),
                  2, "--wind-guess");
  }
}

TEST_CASE("a plan says its cautions before its legs", "[cli][synthetic]") {
  const auto run = run_program(
      "air plan --tas 100 --wind-guess 270/20 --minutes 24 "
      "--variation-deg 3");
  REQUIRE(run.exit_code == 0);
  CHECK(run.out.find("second person") < run.out.find("fly indicated"));
  const json plan = json::parse(run_program("air plan --tas-kt 100 --minutes 24 --json").out);
  const auto same = run_program(
      "air plan --tas-kt 100 --wind-from-deg 270 --wind-kt 20 --minutes 24 --variation-deg 3");
  CHECK(same.out == run.out);
  CHECK(plan.at("schema") == "quietnorth/air-plan/1");
  CHECK(plan.at("legs").size() == 8);
  const std::string cautions = plan.at("cautions").dump();
  for (const char* words : {"Look out", "safe height", "smooth air", "ball in the middle",
                            "one altitude", "Not for navigation"}) {
    CHECK(says(cautions, words));
  }
}

TEST_CASE("an air check goes onto paper and into the book", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string four = folder.write("f.csv", kFour);
  const std::string book = folder.path("a.qnbook");
  REQUIRE(run_program("book new " + book + " --aircraft Brindle").exit_code == 0);
  const auto run = run_program("air solve " + four + " --variation-deg 0 --limit-deg 12 --sheet " +
                               folder.path("air.pdf") + " --book " + book);
  REQUIRE(run.exit_code == 0);
  CHECK(bytes_of(folder.path("air.pdf")).substr(0, 5) == "%PDF-");
  CHECK(says(run_program("book show " + book).out, "air solve"));
  REQUIRE(run_program("air plan --tas-kt 100 --minutes 24 --sheet " + folder.path("plan.svg"))
              .exit_code == 0);
  CHECK(says(bytes_of(folder.path("plan.svg")), "<svg"));
  check_refused(run_program("air solve " + four + " --sheet " + folder.path("air.doc")), 2,
                "--sheet");
}
