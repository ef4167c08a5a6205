// SPDX-License-Identifier: Apache-2.0
#include "app/codec_equipment.h"

#include <catch2/catch.hpp>
#include <string>

namespace {

using qn::DeviceKind;

void check_refused(const std::string& text, const std::string& what, const std::string& where) {
  const auto equipment = qn::parse_equipment(text, "e.csv");
  REQUIRE_FALSE(equipment.has_value());
  INFO(to_text(equipment.error()));
  CHECK(equipment.error().kind == qn::ErrorKind::BadInput);
  CHECK(equipment.error().what.find(what) != std::string::npos);
  CHECK(equipment.error().where == where);
}

bool same(const qn::Device& a, const qn::Device& b) {
  return a.name == b.name && a.kind == b.kind && a.current_A == b.current_A &&
         a.states == b.states && a.max_on_s == b.max_on_s && a.min_rest_s == b.min_rest_s &&
         a.transit_s == b.transit_s && a.phases == b.phases && a.with == b.with &&
         a.caution == b.caution && a.optional == b.optional && a.note == b.note;
}

}  // namespace

TEST_CASE("An equipment list is read with all its columns", "[app][closed-form]") {
  const auto read = qn::parse_equipment(
      "# Brindle\n"
      "device,kind,current_A,states,max_on_s,min_rest_s,transit_s,phases,with,caution,optional,"
      "note\n"
      "Gear,Moving,30,down | up,,120,9.5,cruise|my own,pump,\"On jacks, watched\",YES,\"say \"\"n"
      "ow\"\"\"\n"
      "Pump,motor,3,,60,,,,,,no,\n",
      "e.csv");
  REQUIRE(read.has_value());
  REQUIRE(read.value().size() == 2);
  const qn::Device& gear = read.value()[0];
  CHECK(gear.name == "Gear");
  CHECK(gear.kind == DeviceKind::moving);
  CHECK(gear.current_A == 30.0);
  CHECK(gear.states == std::vector<std::string>{"down", "up"});
  CHECK_FALSE(gear.max_on_s.has_value());
  CHECK(gear.min_rest_s == 120.0);
  CHECK(gear.transit_s == 9.5);
  CHECK(gear.phases == std::vector<std::string>{"cruise", "my own"});
  CHECK(gear.with == "Pump");
  CHECK(gear.caution == "On jacks, watched");
  CHECK(gear.optional);
  CHECK(gear.note == "say \"now\"");
  CHECK(gear.line == 3);
  const qn::Device& pump = read.value()[1];
  CHECK(pump.states == std::vector<std::string>{"off", "on"});
  CHECK(pump.max_on_s == 60.0);
  CHECK_FALSE(pump.optional);
}

TEST_CASE("A column device is enough; other units and decimal commas are understood",
          "[app][closed-form]") {
  const auto plain = qn::parse_equipment("device\nLamp\n", "e.csv");
  REQUIRE(plain.has_value());
  CHECK(plain.value()[0].kind == DeviceKind::steady);
  CHECK(plain.value()[0].transit_s == 0.0);
  const auto units =
      qn::parse_equipment("Device;Current (mA);max_on_min\nLamp;1500,5;2\n", "e.csv");
  REQUIRE(units.has_value());
  CHECK(units.value()[0].current_A == Approx(1.5005).epsilon(1e-12));
  CHECK(units.value()[0].max_on_s == 120.0);
}

TEST_CASE("What an equipment list cannot say is refused by line and column", "[app][closed-form]") {
  check_refused("name\nLamp\n", "no column is called device", "e.csv");
  check_refused("device\n", "no device", "e.csv");
  check_refused("device,kind\nLamp,glowing\n", "'glowing' is no kind",
                "e.csv, line 2, column 2 (kind)");
  check_refused("device\nLamp\nRadio\nlamp\n", "'lamp' is listed twice, first in line 2",
                "e.csv, line 4, column 1 (device)");
  check_refused("device,kind\n,steady\n", "has no name", "e.csv, line 2, column 1 (device)");
  check_refused("device,states\nLamp,on\n", "state with no off",
                "e.csv, line 2, column 2 (states)");
  check_refused("device,states\nLamp,off||on\n", "no name", "e.csv, line 2, column 2 (states)");
  check_refused("device,states\nLamp,off|OFF\n", "listed twice",
                "e.csv, line 2, column 2 (states)");
  check_refused("device,states\nLamp,1|0\n", "number of another state",
                "e.csv, line 2, column 2 (states)");
  check_refused("device,with\nLamp,Relay\n", "'Relay' is needed by 'Lamp' and is no device",
                "e.csv, line 2, column 2 (with)");
  check_refused("device,with\nLamp,lamp\n", "need itself", "e.csv, line 2, column 2 (with)");
  check_refused("device,with\nA,B\nB,C\nC,B\n", "in a circle", "e.csv, line 2, column 2 (with)");
  check_refused("device,current_A\nLamp,-2\n", "-2 is negative",
                "e.csv, line 2, column 2 (current_A)");
  check_refused("device,max_on_s\nLamp,0\n", "no time to work it in",
                "e.csv, line 2, column 2 (max_on_s)");
  check_refused("device,min_rest_s\nLamp,-1\n", "negative", "e.csv, line 2, column 2 (min_rest_s)");
  check_refused("device,transit_s\nLamp,soon\n", "not a number",
                "e.csv, line 2, column 2 (transit_s)");
  check_refused("device,optional\nLamp,maybe\n", "does not say whether",
                "e.csv, line 2, column 2 (optional)");
  check_refused("device\n*\n", "'*' cannot be", "e.csv, line 2, column 1 (device)");
  check_refused("device\nPhase:night\n", "cannot be the name", "e.csv, line 2, column 1 (device)");
  check_refused("device,current\nLamp,2\n", "does not say a unit", "e.csv");
}

TEST_CASE("An equipment list written and read again is the same", "[app][closed-form]") {
  qn::Device odd;
  odd.name = "#1 lamp; \"left\"";
  odd.kind = DeviceKind::pulsing;
  odd.current_A = 0.1;
  odd.states = {"off", "dim", "bright", "blinking"};
  odd.max_on_s = 1.0 / 3.0;
  odd.phases = {"night", "own, word"};
  odd.caution = "two\nlines";
  odd.optional = true;
  odd.note = "Höhe";
  qn::Device plain;
  plain.name = "Pump";
  odd.with = "Pump";
  const auto again = qn::parse_equipment(qn::equipment_csv({odd, plain}), "e.csv");
  REQUIRE(again.has_value());
  REQUIRE(again.value().size() == 2);
  CHECK(same(again.value()[0], odd));
  CHECK(same(again.value()[1], plain));
}
