// SPDX-License-Identifier: Apache-2.0
#include "app/codec_swing_readings.h"

#include <catch2/catch.hpp>
#include <optional>
#include <string>

namespace {

void check_refused(const std::string& text, const std::string& what, const std::string& where) {
  const auto file = qn::parse_swing_file(text, "s.csv", {});
  REQUIRE_FALSE(file.has_value());
  CHECK(file.error().what.find(what) != std::string::npos);
  CHECK(file.error().where == where);
}

}  // namespace

TEST_CASE("readings of a swing are read, north as 0 or 360", "[app][closed-form]") {
  const auto file = qn::parse_swing_file(
      "station_deg;indicated_deg;compass;turn;loads\n0;360;standby;cw;off\n30,5;24;standby;CCW;on\n"
      "60;;standby;;\n",
      "s.csv", {1.5, std::nullopt});
  REQUIRE(file.has_value());
  const auto& r = file.value().readings;
  REQUIRE(r.size() == 2);
  CHECK(file.value().without_reading == 1);
  CHECK(file.value().left_out_deg == std::vector<double>{60.0});
  CHECK(r[0].station_deg == 358.5);  // magnetic = true - variation
  CHECK(r[0].indicated_deg == 0.0);
  CHECK(r[1].station_deg == 29.0);
  CHECK(r[1].turn == qn::SwingTurn::counterclockwise);
  CHECK(r[1].loads == "on");
}

TEST_CASE("deviations are read in the sign that is said", "[app][closed-form]") {
  const std::string text = "indicated_deg,deviation_deg\n355,10\n90,-4\n";
  const auto add = qn::parse_swing_file(text, "s.csv", {std::nullopt, qn::DeviationSign::to_add});
  CHECK(add.value().readings[0].station_deg == 5.0);
  const auto less =
      qn::parse_swing_file(text, "s.csv", {std::nullopt, qn::DeviationSign::reading_minus_truth});
  CHECK(less.value().readings[0].station_deg == 345.0);
  check_refused(text, "two signs", "option --deviation-is");
}

TEST_CASE("a reading may tell its own scatter", "[app][closed-form]") {
  const std::string head = "station_deg,indicated_deg,reading_sigma_deg\n";
  const auto file = qn::parse_swing_file(head + "0,4,0.12\n30,31,\n", "s.csv", {});
  REQUIRE(file.has_value());
  CHECK(file.value().readings[0].own_sigma_deg == 0.12);
  CHECK_FALSE(file.value().readings[1].own_sigma_deg > 0.0);
  check_refused(head + "0,4,0\n", "a sigma of 0", "s.csv, line 2, column 3 (reading_sigma_deg)");
}

TEST_CASE("a reading that is none is named by line and column", "[app][closed-form]") {
  const std::string head = "station_deg,indicated_deg,turn,loads\n";
  check_refused(head + "0,400\n", "heading 400", "s.csv, line 2, column 2 (indicated_deg)");
  check_refused(head + ",40\n", "heading is missing", "s.csv, line 2, column 1 (station_deg)");
  check_refused(head + "0,4,up\n", "'up'", "s.csv, line 2, column 3 (turn)");
  check_refused(head + "0,4,cw,on+pitot\n", "'on+pitot'", "s.csv, line 2, column 4 (loads)");
  check_refused("station_deg\n0\n", "indicated_deg", "s.csv");
  check_refused(head + "0,\n", "no reading", "s.csv");
}

TEST_CASE("loads are off, on, or named in any order", "[app][closed-form]") {
  const std::string head = "station_deg,indicated_deg,loads\n";
  const auto file = qn::parse_swing_file(
      head + "0,4,Off\n0,4,strobe+Pitot\n0,4,pitot | strobe\n0,4,\n", "s.csv", {});
  REQUIRE(file.has_value());
  CHECK(file.value().readings[0].loads == "off");
  CHECK(file.value().readings[1].loads == "pitot+strobe");
  CHECK(file.value().readings[2].loads == "pitot+strobe");
  CHECK(file.value().readings[3].loads.empty());
}

TEST_CASE("an empty file of readings says which columns it needs", "[app][closed-form]") {
  for (const char* text : {"", "# nothing\n", "1,2,3\n"}) {
    const auto file = qn::parse_swing_file(text, "s.csv", {});
    REQUIRE_FALSE(file.has_value());
    INFO(file.error().what);
    CHECK(file.error().expected.find("station_deg,indicated_deg") != std::string::npos);
    CHECK(file.error().expected.find("time_s") == std::string::npos);
    CHECK(file.error().remedy.find("time_s") == std::string::npos);
  }
}
