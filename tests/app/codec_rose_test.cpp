// SPDX-License-Identifier: Apache-2.0
#include "app/codec_rose.h"

#include <catch2/catch.hpp>
#include <string>

namespace {

void check_refused(const std::string& text, const std::string& what, const std::string& where) {
  const auto file = qn::parse_rose_file(text, "r.csv");
  REQUIRE_FALSE(file.has_value());
  INFO(file.error().what);
  CHECK(file.error().what.find(what) != std::string::npos);
  CHECK(file.error().where == where);
}

}  // namespace

TEST_CASE("a rose is read in the usual dialects, with the north it says", "[app][closed-form]") {
  const auto plain = qn::parse_rose_file(
      "# behind the hangar\nstation_deg;direction_deg;sigma_deg;north_sigma_deg\n0;0,8;0,2;0,3\n"
      "360\n",
      "r.csv");
  REQUIRE_FALSE(plain.has_value());  // the second row has no direction
  const auto good = qn::parse_rose_file(
      "# behind the hangar\nstation_deg;direction_deg;sigma_deg;north_sigma_deg\n0;0,8;0,2;0,3\n"
      "30;31,5;;\n",
      "r.csv");
  REQUIRE(good.has_value());
  CHECK(good.value().north == qn::RoseNorth::as_stations);
  CHECK(good.value().rose.marks[0].direction_deg == 0.8);
  CHECK(good.value().rose.marks[0].sigma_deg == 0.2);
  CHECK_FALSE(good.value().rose.marks[1].sigma_deg > 0.0);
  CHECK(good.value().rose.north_sigma_deg == 0.3);
  const auto north = qn::parse_rose_file("station_deg,direction_true_deg\n0,3\n", "r.csv");
  REQUIRE(north.has_value());
  CHECK(north.value().north == qn::RoseNorth::true_north);
  const auto magnetic = qn::parse_rose_file("station_deg,direction_magnetic_deg\n0,3\n", "r.csv");
  REQUIRE(magnetic.has_value());
  CHECK(magnetic.value().north == qn::RoseNorth::magnetic);
}

TEST_CASE("a rose that cannot be used says where", "[app][closed-form]") {
  const std::string head = "station_deg,direction_deg,sigma_deg,north_sigma_deg\n";
  check_refused(head + "0,400\n", "heading 400", "r.csv, line 2, column 2 (direction_deg)");
  check_refused(head + "0,\n", "missing", "r.csv, line 2, column 2 (direction_deg)");
  check_refused(head + "0,1\n360,2\n", "twice", "r.csv, line 3, column 1 (station_deg)");
  check_refused(head + "0,1,-1\n", "sigma of -1", "r.csv, line 2, column 3 (sigma_deg)");
  check_refused(head + "0,1,,0.3\n30,31,,0.4\n", "0.4 here and 0.3 above",
                "r.csv, line 3, column 4 (north_sigma_deg)");
  check_refused(head, "no mark", "r.csv");
  check_refused("station_deg\n0\n", "where the marks point", "r.csv");
  check_refused("direction_deg\n0\n", "station_deg", "r.csv");
  check_refused("station_deg,direction_deg,direction_true_deg\n0,1,2\n", "one north each", "r.csv");
}

TEST_CASE("an empty rose says which columns it needs", "[app][closed-form]") {
  const auto file = qn::parse_rose_file("", "r.csv");
  REQUIRE_FALSE(file.has_value());
  CHECK(file.error().expected.find("station_deg,direction_deg") != std::string::npos);
  CHECK(file.error().expected.find("time_s") == std::string::npos);
}
