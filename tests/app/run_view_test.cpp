// SPDX-License-Identifier: Apache-2.0
#include "app/run_view.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "app/live_trace.h"
#include "app/run_setup.h"
#include "procedure/run_engine.h"

using namespace qn;
using nlohmann::json;

namespace {

run::Engine small_run() {
  RunSetup setup;
  setup.equipment_csv = "device,kind,states\nLamp,steady,off|on\nFan,motor,off|on\n";
  return run::Engine{run_plan_of(setup).value()};
}

}  // namespace

TEST_CASE("the version rises with what is shown, the number of the words with what is asked",
          "[app][closed-form]") {
  run::Engine engine = small_run();
  RunTeller teller;
  RunView view;
  teller.tell(engine.state(), 0.0, view);
  const auto version = view.version, said = view.say_number;
  CHECK(version == 1);
  CHECK(said == 1);
  CHECK(view.say.find(view.prompt.sentence) != std::string::npos);
  teller.tell(engine.state(), 1.0, view);
  CHECK(view.version == version);  // only the time changed
  engine.apply(run::said(run::EventKind::acknowledge, 2.0));
  teller.tell(engine.state(), 2.0, view);
  CHECK(view.version > version);
  CHECK(view.say_number == said + 1);
  CHECK(view.prompt.wait_s == engine.state().plan->first_rest_s);
}

TEST_CASE("a question and a wait have what a page needs", "[app][closed-form]") {
  run::Engine engine = small_run();
  engine.apply(run::said(run::EventKind::acknowledge, 1.0));
  run::Event rested = run::said(run::EventKind::held, 61.0);
  engine.apply(rested);
  RunTeller teller;
  RunView view;
  teller.tell(engine.state(), 62.0, view);
  json shown = json::parse(to_json(view, true));
  CHECK(shown.at("schema") == "quietnorth/run/1");
  CHECK(shown.at("phase") == "ask");
  CHECK(shown.at("device") == shown.at("main").at("device"));
  CHECK(shown.at("main").at("kind") == "tap");
  CHECK(shown.at("then").at("label") != shown.at("main").at("label"));
  CHECK(shown.at("wait_s").is_null());
  CHECK(shown.at("you") == "operate");
  CHECK(shown.at("done").size() == shown.at("steps"));
  engine.apply(run::tap_at(63.0));
  teller.tell(engine.state(), 63.5, view);
  shown = json::parse(to_json(view, false));
  CHECK(shown.at("phase") == "wait");
  CHECK(shown.at("wait_s").get<double>() > 5.0);
  CHECK(shown.at("you") == "look_on");
  CHECK(shown.at("answer").is_null());
}

TEST_CASE("the trace has tenths of a second for two minutes", "[app][closed-form]") {
  TraceKeeper keeper;
  for (int i = 0; i < 200 * 100; ++i) keeper.add(0.01 * i, {20.0 + (i % 2), 0.0, 43.0});
  const LiveTrace all = keeper.last(1000.0), some = keeper.last(3.0);
  CHECK(all.time_s.size() == Approx(1200).margin(120));  // 0.10 s or 0.11 s each
  CHECK(some.time_s.size() == Approx(30).margin(3));
  CHECK(some.time_s.back() == Approx(199.9).margin(0.2));
  CHECK(some.field_uT.back()[0] == Approx(20.5).margin(0.06));
  CHECK(json::parse(to_json(some)).at("field_uT").at(2).size() == some.time_s.size());
}

TEST_CASE("a trace goes on after a gap longer than it is", "[app][closed-form]") {
  TraceKeeper keeper;
  for (int i = 0; i < 100; ++i) keeper.add(0.05 * i, {20.0, 0.0, 43.0});
  for (int i = 0; i < 100; ++i) keeper.add(600.0 + 0.05 * i, {21.0, 0.0, 43.0});  // a lid was shut
  const LiveTrace trace = keeper.last(1000.0);
  REQUIRE_FALSE(trace.time_s.empty());
  CHECK(trace.time_s.front() >= 600.0);
  CHECK(trace.field_uT.back()[0] == Approx(21.0));
}
