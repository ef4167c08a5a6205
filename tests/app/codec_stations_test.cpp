// SPDX-License-Identifier: Apache-2.0
#include "app/codec_stations.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

namespace {

void check_refused(const std::string& text, const std::string& what, const std::string& where) {
  const auto stations = qn::parse_stations(text, "stations.csv");
  REQUIRE_FALSE(stations.has_value());
  INFO(to_text(stations.error()));
  CHECK(stations.error().kind == qn::ErrorKind::BadInput);
  CHECK(stations.error().what.find(what) != std::string::npos);
  CHECK(stations.error().where == where);
}

}  // namespace

TEST_CASE("Stations are read in their order, tilt where it is given", "[app][closed-form]") {
  const auto stations = qn::parse_stations(
      "# rose behind the "
      "hangar\nstation_deg,indicated_deg,compass,repeat,turn,roll_deg,pitch_deg,loads\n"
      "0,358,standby,1,cw,0.5,-10.25,off\n330,,standby,1,ccw,,,\"on\"\n359.99,1,,,,-1\n",
      "stations.csv");
  REQUIRE(stations.has_value());
  const auto& s = stations.value();
  REQUIRE(s.size() == 3);
  CHECK(s[0].station_deg == 0.0);
  CHECK(s[0].roll_deg == 0.5);
  CHECK(s[0].pitch_deg == -10.25);
  CHECK(s[1].station_deg == 330.0);
  CHECK(std::isnan(s[1].roll_deg));
  CHECK(std::isnan(s[1].pitch_deg));
  CHECK(s[2].station_deg == 359.99);
  CHECK(s[2].roll_deg == -1.0);
}

TEST_CASE("Stations alone, with decimal commas, and in radians", "[app][closed-form]") {
  CHECK(qn::parse_stations("station_deg\n0\n90\n", "s").value().size() == 2);
  CHECK(qn::parse_stations("\xef\xbb\xbfStation (deg);Roll (rad)\r\n22,5;0\r\n", "s")
            .value()[0]
            .station_deg == 22.5);
  CHECK(qn::parse_stations("station_rad\n3.14159265358979312\n", "s").value()[0].station_deg ==
        Approx(180.0).epsilon(1e-15));
}

TEST_CASE("A heading that is none is named by line and column", "[app][closed-form]") {
  const std::string header = "station_deg\n0\n30\n60\n90\n120\n150\n180\n";
  check_refused(header + "400\n", "heading 400. A heading is below 360",
                "stations.csv, line 9, column 1 (station_deg)");
  check_refused(header + "360\n", "heading 360. A heading is below 360",
                "stations.csv, line 9, column 1 (station_deg)");
  check_refused(header + "-10\n", "heading -10. A heading is not negative",
                "stations.csv, line 9, column 1 (station_deg)");
  check_refused(header + "north\n", "'north' is not a number",
                "stations.csv, line 9, column 1 (station_deg)");
  check_refused("station_deg,roll_deg\n0,1\n,1\n", "heading is missing",
                "stations.csv, line 3, column 1 (station_deg)");
  check_refused("station_deg,roll_deg\n0,91\n", "roll 91 degrees",
                "stations.csv, line 2, column 2 (roll_deg)");
  CHECK(qn::parse_stations("station_deg\n360\n", "s").error().remedy == "write 0 for north");
}

TEST_CASE("A file without stations is refused", "[app][closed-form]") {
  check_refused("heading\n0\n", "no column is called station_deg", "stations.csv");
  check_refused("station_deg\n", "no station", "stations.csv");
  check_refused("station\n0\n", "unit of angle", "stations.csv");
  check_refused("station_deg,station_rad\n0,0\n", "same quantity", "stations.csv");
  check_refused("", "empty", "stations.csv");
  CHECK_FALSE(qn::read_stations("/nowhere/stations.csv").has_value());
}
