// SPDX-License-Identifier: Apache-2.0
#include "app/run_setup.h"

#include <catch2/catch.hpp>

#include "app/run_anchor.h"

using namespace qn;

namespace {

RunSetup some_setup() {
  RunSetup setup;
  setup.analysis.at = "50.1,8.6";
  setup.analysis.on = "2026-05-14";
  setup.analysis.limit_deg = 1.0 / 3.0;
  setup.analysis.aircraft_heading_deg = 121.5;
  setup.analysis.rigid = true;
  setup.analysis.aircraft = "Brindle, the \"second\"";
  setup.noise_uT = 0.08;
  setup.configuration = {"canopy=closed"};
  LinkRequest link{"serial:/dev/ttyUSB0@38400", {}};
  link.decoder.kind = DecoderKind::lines;
  link.decoder.columns = "time_s,field_x_uT,field_y_uT,field_z_uT";
  setup.links = {link, {"typed", {}}};
  setup.equipment_csv =
      "device,kind,states,caution\nLamp,steady,off|on,\nFan,motor,off|on,People clear\n";
  return setup;
}

}  // namespace

TEST_CASE("a setup comes back whole, and leads to the same plan", "[app][closed-form]") {
  const RunSetup setup = some_setup();
  const auto back = run_setup_from(to_json(setup));
  REQUIRE(back);
  CHECK(to_json(back.value()) == to_json(setup));
  CHECK(back.value().analysis.limit_deg == setup.analysis.limit_deg);
  CHECK(back.value().links[0].decoder.kind == DecoderKind::lines);
  const auto plan = run_plan_of(setup), same = run_plan_of(back.value());
  REQUIRE(plan);
  REQUIRE(same);
  REQUIRE(plan.value()->steps.size() == same.value()->steps.size());
  for (std::size_t i = 0; i < plan.value()->steps.size(); ++i) {
    CHECK(plan.value()->steps[i].device == same.value()->steps[i].device);
    CHECK(plan.value()->steps[i].wait_s == same.value()->steps[i].wait_s);
  }
  CHECK(plan.value()->wanted.in_deg() == Approx(1.0 / 30.0));
}

TEST_CASE("a swing comes back whole as well", "[app][closed-form]") {
  RunSetup setup;
  setup.procedure = RunSetup::Procedure::swing;
  setup.swing.stations = 12;
  setup.swing.both_ways = true;
  REQUIRE(add_swing_compass("standby:10", setup.swing));
  REQUIRE(add_swing_compass(" remote ", setup.swing));
  setup.swing.from_link = "remote";
  setup.swing.loads = swing_loads_from("off,on").value();
  setup.swing.hold_s = 20.0;
  setup.swing.request.rounding_deg = 1.0 / 3.0;
  setup.swing.request.limit_basis = "maker's sheet";
  const auto back = run_setup_from(to_json(setup));
  REQUIRE(back);
  CHECK(to_json(back.value()) == to_json(setup));
  CHECK(back.value().swing.compasses == std::vector<std::string>{"standby", "remote"});
  CHECK(back.value().swing.request.limits == std::vector<std::string>{"standby=10"});
  const auto plan = run_plan_of(back.value());
  REQUIRE(plan);
  CHECK(plan.value()->steps.size() == 24);  // 12 marks both ways hold every mark of 30 degrees
  CHECK(plan.value()->spare == 0);
  CHECK(plan.value()->steps[0].wait_s == 20.0);
  CHECK(plan.value()->steps[0].reads.size() == 4);
  CHECK(plan.value()->steps[0].reads[1].by_link);
}

TEST_CASE("a compass, its limit and the loads as they are said", "[app][closed-form]") {
  SwingRunSetup swing;
  CHECK(add_swing_compass(":10", swing).error().where == "option --compass");
  CHECK(add_swing_compass("standby:ten", swing).error().where == "option --compass");
  CHECK(add_swing_compass("standby:-1", swing).error().kind == ErrorKind::OutOfRange);
  CHECK(swing_loads_from("half").error().where == "option --loads");
  RunSetup setup;
  setup.procedure = RunSetup::Procedure::swing;
  setup.swing.compasses = {"standby"};
  setup.swing.from_link = "remote";
  CHECK(run_plan_of(setup).error().where == "option --from-link");
}

TEST_CASE("what is no setup is refused", "[app][closed-form]") {
  CHECK(run_setup_from("").error().kind == ErrorKind::Corrupt);
  CHECK(run_setup_from("{\"schema\":\"quietnorth/run-setup/9\"}").error().kind ==
        ErrorKind::Corrupt);
  RunSetup empty = some_setup();
  empty.equipment_csv = "device\n";
  CHECK_FALSE(run_plan_of(empty));
}

TEST_CASE("a recording goes on with true times while the computer has not been started anew",
          "[app][closed-form]") {
  RunAnchor anchor = anchor_now(100.0);
  const auto back = run_anchor_from(to_json(anchor));
  CHECK(back.recording_s == 100.0);
  CHECK(back.boot_id == anchor.boot_id);
  CHECK(back.boot_s == anchor.boot_s);
  anchor.boot_s -= 250.0;  // 250 s have passed since
  anchor.utc_s += 5000.0;  // and somebody set the calendar clock: no matter
  CHECK(recording_time_now(anchor, 300.0) == Approx(350.0).margin(1.0));
}

TEST_CASE("after a new start the calendar clock must do, within reason", "[app][closed-form]") {
  RunAnchor anchor = anchor_now(100.0);
  anchor.boot_id = "another";
  anchor.utc_s -= 600.0;
  CHECK(recording_time_now(anchor, 130.0) == Approx(700.0).margin(1.0));
  anchor.utc_s += 86400.0;  // set back by a day: never before what is in the book
  CHECK(recording_time_now(anchor, 130.0) == Approx(131.0));
  anchor.utc_s -= 1e9;
  CHECK(recording_time_now(anchor, 130.0) == Approx(130.0 + 86400.0));
  CHECK(recording_time_now(run_anchor_from("no json"), 10.0) >= 11.0);
}
