// SPDX-License-Identifier: Apache-2.0
#include "app/codec_marks.h"

#include <catch2/catch.hpp>
#include <string>

namespace {

void check_refused(const std::string& text, const std::string& what, const std::string& where) {
  const auto marks = qn::parse_marks(text, "m.csv");
  REQUIRE_FALSE(marks.has_value());
  INFO(to_text(marks.error()));
  CHECK(marks.error().kind == qn::ErrorKind::BadInput);
  CHECK(marks.error().what.find(what) != std::string::npos);
  CHECK(marks.error().where == where);
}

}  // namespace

TEST_CASE("Marks are read in the order of the file, equal rows kept, with their lines",
          "[app][closed-form]") {
  const auto read = qn::parse_marks(
      "# run 2\ntime_s,device,state,who\n12.5,Lamp,on,\n# wrong key\n40,Lamp,0,\n40,Lamp,0,\n"
      "8,\"*\",1,\n-3,phase:night,1,\n",
      "m.csv");
  REQUIRE(read.has_value());
  const auto& m = read.value();
  REQUIRE(m.size() == 5);
  CHECK(m[0].time_s == 12.5);
  CHECK(m[0].device == "Lamp");
  CHECK(m[0].state == "on");
  CHECK(m[0].line == 3);
  CHECK(m[1].line == 5);
  CHECK(m[2].line == 6);
  CHECK(m[3].device == "*");
  CHECK(m[4].time_s == -3.0);
  CHECK(m[4].device == "phase:night");
}

TEST_CASE("Marks in minutes, and beside another column of time", "[app][closed-form]") {
  const auto read =
      qn::parse_marks("time_of_day,Time (min),device,state\n14:03,1.5,Lamp,1\n", "m.csv");
  REQUIRE(read.has_value());
  CHECK(read.value()[0].time_s == 90.0);
}

TEST_CASE("A mark that is none is named by line and column", "[app][closed-form]") {
  check_refused("device,state\nLamp,1\n", "no column is called time_s", "m.csv");
  check_refused("time_s,state\n1,1\n", "no column is called device", "m.csv");
  check_refused("time_s,device\n1,Lamp\n", "no column is called state", "m.csv");
  check_refused("time_s,device,state\n", "no mark", "m.csv");
  check_refused("time_s,device,state\n,Lamp,1\n", "the time is missing",
                "m.csv, line 2, column 1 (time_s)");
  check_refused("time_s,device,state\nnow,Lamp,1\n", "not a number",
                "m.csv, line 2, column 1 (time_s)");
  check_refused("time_s,device,state\n1,,1\n", "the device is missing",
                "m.csv, line 2, column 2 (device)");
  check_refused("time_s,device,state\n1,Lamp,\n", "the state is missing",
                "m.csv, line 2, column 3 (state)");
  check_refused("time_ms,device,state\n1,Lamp,1\n", "does not say a unit", "m.csv");
}

TEST_CASE("Marks written and read again are the same", "[app][closed-form]") {
  const std::vector<qn::Mark> marks = {{0.1, "Lamp, left", "on", 2},
                                       {1e-9, "#2", "half \"up\"", 3},
                                       {12345.678901234567, "*", "-1", 4}};
  const auto again = qn::parse_marks(qn::marks_csv(marks), "m.csv");
  REQUIRE(again.has_value());
  REQUIRE(again.value().size() == marks.size());
  for (std::size_t i = 0; i < marks.size(); ++i) {
    CHECK(again.value()[i].time_s == marks[i].time_s);
    CHECK(again.value()[i].device == marks[i].device);
    CHECK(again.value()[i].state == marks[i].state);
    CHECK(again.value()[i].line == marks[i].line);
  }
}
