// SPDX-License-Identifier: Apache-2.0
#include "app/codec_run_event.h"

#include <catch2/catch.hpp>

using namespace qn;
using run::EventKind;

namespace {

run::Event full(EventKind kind) {
  run::Event event = run::said(kind, 12.3456789012345678, "key-1");
  event.at_s = 11.1;
  event.device = "Left light";
  event.state = "on";
  event.why = run::HeldWhy::no_more_to_win;
  event.information = 1.0 / 3.0;
  event.moved = true;
  event.R_uT2_s = 1e-17 / 3.0;
  event.q_uT2_per_s = 2.0 / 7.0;
  return event;
}

}  // namespace

TEST_CASE("what a kind needs comes back to the last bit", "[app][closed-form]") {
  const run::Event tap = full(EventKind::tap);
  const auto same = run_event_from(to_record(tap));
  REQUIRE(same);
  CHECK(same.value().time_s == tap.time_s);
  CHECK(same.value().at_s == tap.at_s);
  CHECK(same.value().device == tap.device);
  CHECK(same.value().state == tap.state);
  CHECK(same.value().key == tap.key);
  const run::Event visit = full(EventKind::visit);
  const auto judged = run_event_from(to_record(visit));
  REQUIRE(judged);
  CHECK(judged.value().information == visit.information);
  CHECK(judged.value().moved);
  CHECK(judged.value().R_uT2_s == visit.R_uT2_s);
  CHECK(judged.value().q_uT2_per_s == visit.q_uT2_per_s);
  const auto held = run_event_from(to_record(full(EventKind::held)));
  REQUIRE(held);
  CHECK(held.value().why == run::HeldWhy::no_more_to_win);
}

TEST_CASE("every kind has a word of its own", "[app][closed-form]") {
  for (int k = 0; k <= static_cast<int>(EventKind::weighed); ++k) {
    const auto kind = static_cast<EventKind>(k);
    const auto again = run_event_from(to_record(full(kind)));
    REQUIRE(again);
    CHECK(again.value().kind == kind);
  }
}

TEST_CASE("a damaged entry is named, not guessed", "[app][closed-form]") {
  const RunEvent good = to_record(full(EventKind::tap));
  RunEvent bad = good;
  bad.kind = "nod";
  CHECK(run_event_from(bad).error().kind == ErrorKind::Corrupt);
  bad = good;
  bad.payload = "{\"at_s\":";
  CHECK(run_event_from(bad).error().kind == ErrorKind::Corrupt);
  bad.payload = "{}";  // a tap without its moment
  CHECK(run_event_from(bad).error().where.find("12.346 s") != std::string::npos);
}

TEST_CASE("a reading and a doubt keep their numbers; only a link's has a sigma",
          "[app][closed-form]") {
  run::Event reading = full(EventKind::reading);
  reading.number = 127.3;
  const auto typed = run_event_from(to_record(reading));
  REQUIRE(typed);
  CHECK(typed.value().number == 127.3);
  CHECK(typed.value().sigma == 0.0);
  CHECK(to_record(reading).payload.find("sigma") == std::string::npos);
  reading.sigma = 1.0 / 3.0;
  CHECK(run_event_from(to_record(reading)).value().sigma == 1.0 / 3.0);
  run::Event doubt = full(EventKind::doubt);
  doubt.number = 117.0;
  CHECK(run_event_from(to_record(doubt)).value().number == 117.0);
  CHECK(run_event_from({1.0, "reading", "{}", ""}).error().kind == ErrorKind::Corrupt);
}
