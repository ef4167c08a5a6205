// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <map>

#include "procedure/run_hand.h"

using namespace qn;
using run::EventKind;
using test::Hand;
using Phase = run::State::Phase;

namespace {

/// Goes on until the operator is asked to work that device (and nothing was done about it yet).
void until_asked(Hand& hand, const std::string& device) {
  const auto asked = [&] {
    const run::State& s = hand.engine.state();
    return s.phase == Phase::ask && s.acts[s.act].device == device &&
           s.acts[s.act].kind == run::Act::Kind::work;
  };
  while (!asked() && hand.now_s < 5000.0) hand.step();
  REQUIRE(asked());
}

std::size_t count_of(const run::State& s, EventKind kind) {
  std::size_t count = 0;
  for (const run::Event& e : s.journal) count += e.kind == kind ? 1 : 0;
  return count;
}

/// Samples, but nobody answers.
void idle(Hand& hand, double seconds) {
  const double until_s = hand.now_s + seconds;
  const auto before = hand.instead;
  hand.instead = [](const run::Prompt&) { return true; };
  while (hand.now_s < until_s) hand.step();
  hand.instead = before;
}

}  // namespace

TEST_CASE("a step without a tap is offered, and the answer puts the mark where it was",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  const double switched_s = hand.now_s;
  hand.aircraft.put(switched_s, "Left light", "on");
  idle(hand, 9.0);
  const run::Prompt prompt = hand.engine.prompt(hand.now_s);
  CHECK(prompt.sentence.find("was it Left light") != std::string::npos);
  REQUIRE(prompt.main);
  hand.say(run::tap_at(hand.now_s, prompt.main->ago_s));
  REQUIRE(hand.engine.marks().back().device == "Left light");
  CHECK(hand.engine.marks().back().time_s == Approx(switched_s).margin(1.6));  // blocks of 1 s
}

TEST_CASE("what was not asked for is told, and one more pass is offered",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  hand.aircraft.disturb({0.8, -0.5, 0.0});
  idle(hand, 9.0);
  hand.say(run::said(EventKind::not_yet, hand.now_s));
  const run::Prompt prompt = hand.engine.prompt(hand.now_s);
  CHECK(prompt.noticed.find("Something changed") != std::string::npos);
  CHECK(prompt.sentence.find("Left light") != std::string::npos);  // and the question stands
}

TEST_CASE("a tap without a step is repeated later", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  hand.say(run::tap_at(hand.now_s));  // though nothing was switched
  while (hand.engine.state().acts[hand.engine.state().act].kind != run::Act::Kind::back) {
    idle(hand, 1.0);
  }
  hand.say(run::tap_at(hand.now_s));
  idle(hand, 2.0);  // judged
  hand.go();
  std::size_t visits = 0, aim = 0;
  for (std::size_t i = 0; i < hand.engine.state().plan->aims.size(); ++i) {
    if (hand.engine.state().plan->aims[i].device == "Left light") aim = i;
  }
  const auto& progress = hand.engine.state().aims[aim];
  visits = progress.visits;
  CHECK(progress.still == 1);
  CHECK(progress.moved >= 2);
  CHECK(visits == progress.still + progress.moved);
}

TEST_CASE("no such device: none of its steps is asked for again", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment(), test::hand_settings(), {"Fan"}};
  hand.go();
  REQUIRE(hand.engine.over());
  CHECK(count_of(hand.engine.state(), EventKind::no_such_device) == 1);
  for (const Mark& mark : hand.engine.marks()) CHECK(mark.device != "Fan");
}

TEST_CASE("another one was worked: it counts, and what was asked for comes next",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Master");
  hand.aircraft.put(hand.now_s, "Left light", "on");
  run::Event event = run::said(EventKind::another, hand.now_s);
  event.device = "Left light";
  hand.say(event);
  CHECK(hand.engine.marks().back().device == "Left light");
  CHECK(hand.engine.marks().back().state == "on");
  CHECK(hand.engine.prompt(hand.now_s).next.find("Master") != std::string::npos);
  const std::size_t steps = hand.engine.state().todo.size();
  CHECK(steps == hand.engine.state().plan->steps.size());  // moved forward, not added
  hand.go();
  CHECK(hand.engine.over());
}

TEST_CASE("again puts the visit on the list once more", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  hand.say(run::tap_at(hand.now_s));
  const std::size_t before = hand.engine.state().todo.size();
  hand.say(run::said(EventKind::again, hand.now_s, "k1"));
  hand.say(run::said(EventKind::again, hand.now_s, "k1"));  // sent twice by a bad connection
  CHECK(hand.engine.state().todo.size() == before + 1);
}

TEST_CASE("a caution is acknowledged once a group, before anything of it is worked",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  std::map<std::string, int> read;
  hand.instead = [&](const run::Prompt& prompt) {
    if (prompt.must_acknowledge) ++read[prompt.caution];
    return false;
  };
  hand.go();
  bool surfaces = false;
  for (const auto& [caution, times] : read) {
    INFO(caution);
    CHECK(times == 1);
    surfaces = surfaces || caution.find("People clear of the surfaces") != std::string::npos;
  }
  CHECK(surfaces);
  // A tap does not pass for having read it.
  Hand other{test::hand_equipment()};
  other.say(run::tap_at(0.0));
  CHECK(other.engine.prompt(0.0).must_acknowledge);
}

TEST_CASE("stop takes effect at once, in the middle of whatever it is", "[procedure][synthetic]") {
  for (const double at_s : {0.0, 30.0, 70.0, 85.0, 100.0, 130.0}) {
    Hand hand{test::hand_equipment()};
    hand.go(at_s);
    hand.say(run::said(EventKind::stop, hand.now_s));
    CHECK(hand.engine.over());
    const std::size_t events = hand.engine.state().journal.size();
    for (int i = 0; i < 300; ++i) hand.step();
    CHECK(hand.engine.state().journal.size() == events);
    CHECK(hand.engine.prompt(hand.now_s).sentence.rfind("Stopped.", 0) == 0);
  }
}

TEST_CASE("a pause while a device is on asks for it to be put back", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  hand.aircraft.put(hand.now_s, "Left light", "on");
  hand.say(run::tap_at(hand.now_s));
  idle(hand, 3.0);
  hand.say(run::said(EventKind::pause, hand.now_s));
  idle(hand, 300.0);
  CHECK(hand.engine.state().paused);
  CHECK(hand.engine.prompt(hand.now_s).sentence.find("put it back") != std::string::npos);
  hand.say(run::said(EventKind::resume, hand.now_s));
  CHECK(hand.engine.prompt(hand.now_s).sentence == "Switch off: Left light.");
}

TEST_CASE("a tap that names something else than what is asked for changes nothing",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  run::Event stale = run::tap_at(hand.now_s);
  stale.device = "Fan";
  stale.state = "on";
  hand.say(stale);
  CHECK(hand.engine.state().phase == Phase::ask);
  run::Event meant = run::tap_at(hand.now_s);
  meant.device = "Left light";
  meant.state = "on";
  hand.say(meant);
  CHECK(hand.engine.state().phase == Phase::wait);
  hand.say(meant);  // touched twice: it is on already
  CHECK(hand.engine.state().waits_at_work());
}

TEST_CASE("taps kept while there was no network give the marks of their moments",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  const double on_s = hand.now_s + 2.0, off_s = on_s + 20.0;
  const run::Prompt before = hand.engine.prompt(hand.now_s);
  REQUIRE(before.main);
  REQUIRE(before.then);
  idle(hand, 40.0);
  const auto kept = [&](const run::Answer& button, double at_s) {
    run::Event event = run::said(EventKind::tap, hand.now_s);
    event.at_s = at_s;
    event.device = button.device;
    event.state = button.state;
    return event;
  };
  hand.say(kept(*before.main, on_s));
  hand.say(kept(before.then->answer, off_s));
  const auto& marks = hand.engine.marks();
  REQUIRE(marks.size() >= 2);
  CHECK(marks[marks.size() - 2].time_s == on_s);
  CHECK(marks.back().time_s == off_s);
  CHECK(marks.back().state == "off");
}

TEST_CASE("a switch that nobody tells of is not taken for drift", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  hand.aircraft.put(hand.now_s, "Left light", "on");
  idle(hand, 60.0);
  CHECK(count_of(hand.engine.state(), EventKind::seen) == 1);
  CHECK(count_of(hand.engine.state(), EventKind::drifting) == 0);
}

TEST_CASE("a switch that is marked late is not taken for the way back", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  until_asked(hand, "Left light");
  idle(hand, 3.0);
  hand.aircraft.put(hand.now_s, "Left light", "on");
  idle(hand, 5.5);  // not seen yet, or just
  hand.say(run::tap_at(hand.now_s));
  idle(hand, 6.0);
  CHECK(hand.engine.state().waits_at_work());
  CHECK_FALSE(hand.engine.state().offered_at_s.has_value());
}
