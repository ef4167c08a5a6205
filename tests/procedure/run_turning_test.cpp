// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_turning.h"

#include <catch2/catch.hpp>

#include "procedure/run_engine.h"

using namespace qn;
using run::EventKind;
using Phase = run::State::Phase;

namespace {

run::Engine turning(std::size_t stations) {
  return run::Engine{std::make_shared<run::Plan>(
      run::turning_plan(run::even_stations_deg(stations), run::kStationWait_s))};
}

/// Samples for so long, of an aircraft that swings its whole field about.
void pass(run::Engine& engine, double& now_s, double seconds) {
  for (const double until_s = now_s + seconds; now_s < until_s; now_s += 0.1) {
    const Vector3 field{20.0 * std::cos(0.1 * now_s), 20.0 * std::sin(0.1 * now_s), 43.0};
    for (const run::Event& e : engine.listen(now_s, field)) engine.apply(e);
  }
}

}  // namespace

TEST_CASE("stations are named as headings are", "[procedure][closed-form]") {
  CHECK(run::even_stations_deg(8) == std::vector<double>{0, 45, 90, 135, 180, 225, 270, 315});
  const run::Plan plan = run::turning_plan({0.0, 22.5, 90.0, 315.0}, 10.0);
  CHECK(plan.steps[0].device == "000");
  CHECK(plan.steps[1].device == "22.5");
  CHECK(plan.steps[2].device == "090");
  for (const run::Step& step : plan.steps) CHECK(run::station_of(step.device).has_value());
  CHECK(run::station_of("090") == 90.0);
  CHECK_FALSE(run::station_of("360"));
  CHECK_FALSE(run::station_of("Lamp"));
  CHECK_FALSE(run::station_of("90 E"));
}

TEST_CASE("each station is asked for once, waited on, and marked where it was reached",
          "[procedure][synthetic]") {
  run::Engine engine = turning(4);
  double now_s = 0.0;
  engine.apply(run::said(EventKind::acknowledge, now_s));
  pass(engine, now_s, 11.0);
  for (int station = 0; station < 4; ++station) {
    REQUIRE(engine.state().phase == Phase::ask);
    const run::Prompt asked = engine.prompt(now_s);
    CHECK(asked.sentence.find("Turn the aircraft to") == 0);
    pass(engine, now_s, 60.0);  // being turned: the field changes all the time
    CHECK(engine.prompt(now_s).sentence == asked.sentence);
    CHECK(engine.prompt(now_s).second->kind == EventKind::tap);  // it cannot be absent
    engine.apply(run::tap_at(now_s));
    CHECK(engine.state().phase == Phase::wait);
    CHECK(engine.prompt(now_s).sentence.find("leave it there") != std::string::npos);
    pass(engine, now_s, run::kStationWait_s + 1.5);
  }
  CHECK(engine.over());
  REQUIRE(engine.marks().size() == 4);
  CHECK(engine.marks()[1].device == "090");
  CHECK(engine.marks()[1].state == run::kOnStation);
  for (const run::Event& event : engine.state().journal) {
    CHECK(event.kind != EventKind::seen);
    CHECK(event.kind != EventKind::drifting);
  }
}

TEST_CASE(
    "a station that went wrong is visited once more at the end; stop says nothing of switches",
    "[procedure][synthetic]") {
  run::Engine engine = turning(4);
  double now_s = 0.0;
  engine.apply(run::said(EventKind::acknowledge, now_s));
  pass(engine, now_s, 11.0);
  engine.apply(run::tap_at(now_s));
  engine.apply(run::said(EventKind::again, now_s));
  CHECK(engine.state().todo.size() == 5);
  engine.apply(run::said(EventKind::pause, now_s));
  CHECK(engine.prompt(now_s).sentence == "Paused. Nothing is lost.");
  engine.apply(run::said(EventKind::stop, now_s));
  CHECK(engine.prompt(now_s).sentence == "Stopped. What was recorded is kept.");
}
