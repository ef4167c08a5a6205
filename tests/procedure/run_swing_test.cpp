// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_swing.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/run_swing_hand.h"
#include "procedure/swing_maker.h"

using namespace qn;
using run::EventKind;
using Phase = run::State::Phase;
using test::swing_options;
using test::SwingHand;

namespace {

/// B = 4, C = -3 and D = 1, in whole degrees.
double shown_on(double station_deg) {
  test::MadeSwing made;
  made.truth = {0.5, 4.0, -3.0, 1.0, 0.0};
  return test::rounded(test::read_on(made, station_deg), 1.0);
}

SwingHand around(int stations) {
  return SwingHand{swing_options(stations),
                   [](const std::string&, double s) { return shown_on(s); }};
}

std::size_t count_of(const run::State& state, EventKind kind) {
  std::size_t count = 0;
  for (const run::Event& event : state.journal) count += event.kind == kind ? 1 : 0;
  return count;
}

}  // namespace

TEST_CASE("a swing asks for each mark, waits, and asks what is shown there",
          "[procedure][synthetic]") {
  SwingHand hand = around(8);
  REQUIRE(hand.engine.state().phase == Phase::ask);
  CHECK(hand.prompt().sentence.find("Turn clockwise to 000 and let it stand.") == 0);
  CHECK_FALSE(hand.prompt().number);
  hand.tap();
  CHECK(hand.engine.state().phase == Phase::wait);
  CHECK(hand.prompt().number->device == "standby");  // may be read before the time is over
  hand.wait(31.0);
  REQUIRE(hand.engine.state().asks_for_number());
  CHECK(hand.prompt().sentence == "What does the standby show on 000?");
  CHECK_FALSE(hand.prompt().main);
  CHECK(hand.prompt().second->kind == EventKind::not_yet);
  hand.apply(run::tap_at(hand.now_s));  // a tap is no number
  CHECK(hand.engine.state().asks_for_number());
  hand.read(3.0);
  CHECK(hand.engine.state().at == 1);
  hand.to_the_end();
  CHECK_FALSE(hand.engine.state().stopped);
  const auto readings = run::swing_readings_of(hand.engine.state());
  REQUIRE(readings.size() == 8);
  CHECK(readings[2].station_deg == 90.0);
  CHECK(readings[2].turn == SwingTurn::clockwise);
  CHECK(readings[2].row == 2);
  CHECK(hand.engine.marks().size() == 8);
  CHECK(hand.engine.marks()[3].device == "135");
  CHECK(hand.engine.marks()[3].state == "cw");
  CHECK(count_of(hand.engine.state(), EventKind::doubt) == 0);
  CHECK(count_of(hand.engine.state(), EventKind::wanted) == 0);
}

TEST_CASE("a misread compass is asked for again while the aircraft still stands there",
          "[procedure][synthetic]") {
  SwingHand hand = around(12);
  while (hand.engine.state().at < 9) hand.answer();
  hand.to_question();
  REQUIRE(hand.station() == 270.0);
  const double right = shown_on(270.0);
  hand.read(right + 10.0);
  REQUIRE(hand.engine.state().asks_for_number());
  CHECK(hand.engine.state().at == 9);
  const run::Prompt again = hand.prompt();
  CHECK(again.number->again);
  const std::string said = run::reading_text(right + 10.0);
  CHECK(again.sentence ==
        said + " does not fit the others. Read the standby on 270 again before you turn.");
  CHECK(again.second->label == said + " is right");
  // What would fit is known, and kept, but not said: it would be agreed with.
  const auto& journal = hand.engine.state().journal;
  const auto doubt = std::find_if(journal.begin(), journal.end(),
                                  [](const run::Event& e) { return e.kind == EventKind::doubt; });
  REQUIRE(doubt != journal.end());
  CHECK(doubt->number == Approx(right).margin(3.0));  // nine marks foretell it so well
  hand.read(right);
  CHECK(hand.engine.state().at == 10);
  CHECK(hand.prompt().noticed ==
        "The standby on 270: " + run::reading_text(right) + " in place of " + said + ".");
  hand.to_the_end();
  const auto readings = run::swing_readings_of(hand.engine.state());
  REQUIRE(readings.size() == 12);
  CHECK(readings[9].indicated_deg == right);
  CHECK(hand.engine.state().reads.size() == 13);  // the first stays, as one that no longer counts
}

TEST_CASE("what is read the same twice, or said to be right, is not asked for a third time",
          "[procedure][synthetic]") {
  for (const bool by_number : {true, false}) {
    SwingHand hand = around(12);
    while (hand.engine.state().at < 9) hand.answer();
    hand.to_question();
    const double wrong = shown_on(270.0) + 10.0;
    hand.read(wrong);
    REQUIRE(hand.prompt().number->again);
    if (by_number) {
      hand.read(wrong);
    } else {
      hand.apply(run::said(EventKind::not_yet, hand.now_s));
    }
    CHECK(hand.engine.state().at == 10);
    const auto readings = run::swing_readings_of(hand.engine.state());
    CHECK(readings.back().indicated_deg == wrong);
  }
}

TEST_CASE("suspects that no reading settles are visited once more at the end",
          "[procedure][synthetic]") {
  SwingHand hand = around(8);
  // Wrong from the second mark on, when nobody could tell yet.
  hand.shows = [](const std::string&, double s) { return shown_on(s) + (s == 45.0 ? 12.0 : 0.0); };
  bool once = false;
  const auto with_slip = hand.shows;
  hand.shows = [&](const std::string& c, double s) {
    if (s == 45.0 && once) return shown_on(s);
    once = once || s == 45.0;
    return with_slip(c, s);
  };
  while (!hand.engine.over() && hand.engine.state().at < 8) hand.answer();
  const auto wanted = count_of(hand.engine.state(), EventKind::wanted);
  const auto readings = run::swing_readings_of(hand.engine.state());
  const auto solved = solve_swing(readings, {});
  REQUIRE(solved);
  const SwingCompass& compass = solved.value().compasses[0];
  INFO(hand.prompt().noticed);
  // Named and left out, or one of several: either way that mark is visited once more.
  CHECK(compass.gross.size() + compass.suspects.size() >= 1);
  REQUIRE(wanted >= 1);
  CHECK(hand.prompt().second->kind == EventKind::stop);
  CHECK(hand.prompt().noticed.find("more station") != std::string::npos);
  hand.to_the_end();
  const auto more = run::swing_readings_of(hand.engine.state());
  CHECK(more.size() == readings.size() + wanted);
  CHECK(std::any_of(more.begin(), more.end(), [](const SwingReading& r) { return r.repeat == 1; }));
  const auto settled = solve_swing(more, {});
  REQUIRE(settled);
  CHECK(settled.value().compasses[0].suspects.empty());
  REQUIRE(settled.value().compasses[0].gross.size() == 1);
  CHECK(settled.value().compasses[0].gross[0].station_deg == 45.0);
}

TEST_CASE("stations that were left out are asked for by the width of the band alone",
          "[procedure][synthetic]") {
  // Three of the marks cannot be read: whatever was read there, further ones are needed.
  for (const double size : {0.1, 1.0}) {
    SwingHand hand{swing_options(8), [&](const std::string&, double s) {
                     return test::rounded(s + size * (shown_on(s) - s), 1.0);
                   }};
    while (hand.engine.state().at < 5) hand.answer();
    while (!hand.engine.over() && hand.engine.state().at < 8) {
      hand.to_question();
      hand.apply(run::said(EventKind::not_yet, hand.now_s));
    }
    CHECK_FALSE(hand.engine.over());
    CHECK(count_of(hand.engine.state(), EventKind::wanted) >= 1);
    CHECK(hand.engine.state().todo.back().wanted);
  }
}

TEST_CASE("further stations are chosen by the covariance, and only when they do it",
          "[procedure][closed-form]") {
  SwingCompass compass;
  compass.hysteresis_deg = 0.0;
  compass.noise_deg = 0.5;
  SwingOptions options;
  options.north_sigma_deg = 0.1;
  for (std::size_t i = 0; i < 5; ++i) compass.covariance_deg2[i][i] = 0.04;
  const std::vector<double> marks = {0, 90, 180, 270};
  // 1.96 sqrt(0.04 * (1 + 1 + 1)) = 0.68 on every heading.
  CHECK(run::settling_stations(compass, options, 1.0, marks).empty());
  // B is known badly: sin z is largest on E and W, and one reading there is as good as either.
  compass.covariance_deg2[1][1] = 25.0;
  const auto found = run::settling_stations(compass, options, 2.5, marks);
  REQUIRE(found.size() == 1);
  CHECK((found[0] == 90.0 || found[0] == 270.0));
  // Nothing brings it below what north alone is off.
  CHECK(run::settling_stations(compass, options, 0.1, marks).empty());
}

TEST_CASE(
    "a mark that cannot be used is left out in both turns, and another can be asked for instead",
    "[procedure][synthetic]") {
  SwingHand hand{swing_options(8, true), [](const std::string&, double s) { return shown_on(s); }};
  const auto refuse = [&] {
    const auto answer = hand.prompt().leave_out;
    REQUIRE(answer);
    run::Event event = run::said(answer->kind, hand.now_s);
    event.device = answer->device;
    event.state = answer->state;
    hand.apply(event);
    return event;
  };
  while (hand.station() != 90.0) hand.answer();
  CHECK(hand.prompt().leave_out->label == "This mark cannot be used");
  const run::Event late = refuse();
  CHECK(hand.station() == 135.0);
  CHECK(hand.prompt().noticed == "090 is left out: that mark cannot be used.");
  hand.apply(late);  // a tap that came twice is not meant for the next mark
  CHECK(hand.station() == 135.0);
  hand.tap();
  CHECK_FALSE(hand.prompt().leave_out);  // it stands there
  hand.to_the_end();
  const auto readings = run::swing_readings_of(hand.engine.state());
  CHECK(readings.size() == 14);
  CHECK(std::none_of(readings.begin(), readings.end(),
                     [](const SwingReading& r) { return r.station_deg == 90.0; }));
  CHECK(solve_swing(readings, {}).value().compasses.front().solved);
  // The same from the journal.
  const auto same = run::rebuild(hand.engine.state().plan, hand.engine.state().journal);
  CHECK(same.absent == std::vector<std::string>{"090"});
}

TEST_CASE("when the last marks cannot be used, those that make up for them are asked for",
          "[procedure][synthetic]") {
  SwingHand hand = around(8);
  while (hand.engine.state().at < 5) hand.answer();
  for (int i = 0; i < 3; ++i) {
    REQUIRE_FALSE(hand.engine.over());
    hand.apply(run::said(EventKind::no_such_device, hand.now_s));
  }
  REQUIRE_FALSE(hand.engine.over());
  REQUIRE(count_of(hand.engine.state(), EventKind::wanted) >= 1);
  const auto& absent = hand.engine.state().absent;
  for (const run::Event& e : hand.engine.state().journal) {
    if (e.kind != EventKind::wanted) continue;
    CHECK(std::find(absent.begin(), absent.end(), e.device) == absent.end());
  }
  // Of use after all: who stands on it says so, and it counts.
  run::Event there = run::said(EventKind::another, hand.now_s);
  there.device = "270";
  there.state = "cw";
  hand.apply(there);
  hand.to_question();
  CHECK(hand.station() == 270.0);
  hand.to_the_end();
  CHECK(hand.engine.state().absent == std::vector<std::string>{"225", "315"});
}

TEST_CASE("both ways: every mark twice, and the turn goes with the reading",
          "[procedure][synthetic]") {
  SwingHand hand{swing_options(8, true), [](const std::string&, double s) { return shown_on(s); }};
  hand.to_the_end();
  const auto readings = run::swing_readings_of(hand.engine.state());
  REQUIRE(readings.size() == 16);
  CHECK(readings[7].turn == SwingTurn::clockwise);
  CHECK(readings[8].turn == SwingTurn::counterclockwise);
  CHECK(readings[8].station_deg == 0.0);
  CHECK(readings[9].station_deg == 315.0);
  for (const SwingReading& r : readings) CHECK(r.repeat == 0);
}

TEST_CASE("two compasses, loads off and on: each read with each, the switch thrown once a mark",
          "[procedure][synthetic]") {
  run::SwingRunOptions options = swing_options(8);
  options.compasses = {{"standby", false}, {"remote", false}};
  options.loads = {"off", "on"};
  SwingHand hand{options, [](const std::string&, double s) { return shown_on(s); }};
  hand.to_the_end();
  const auto readings = run::swing_readings_of(hand.engine.state());
  REQUIRE(readings.size() == 32);
  std::size_t thrown = 0;
  for (const Mark& mark : hand.engine.marks()) thrown += mark.device == "all loads" ? 1 : 0;
  CHECK(thrown == 9);  // off at the first mark, then once on each
  std::size_t on = 0;
  for (const SwingReading& r : readings) on += r.loads == "on" ? 1 : 0;
  CHECK(on == 16);
  CHECK(run::visit_name(hand.engine.state().reads.front()) == "000 cw off");
}

TEST_CASE("readings may come in any order, and before the wait is over; a later one mends",
          "[procedure][synthetic]") {
  run::SwingRunOptions options = swing_options(8);
  options.compasses = {{"standby", false}, {"remote", false}};
  SwingHand hand{options, [](const std::string&, double s) { return shown_on(s); }};
  hand.tap();
  run::Event event = run::said(EventKind::reading, hand.now_s);
  event.device = "remote";
  event.state = "000 cw";
  event.number = 4.0;
  hand.apply(event);
  CHECK(hand.prompt().number->device == "standby");
  hand.read(3.0);
  CHECK(hand.engine.state().at == 1);
  event.number = 5.0;  // heard wrong; the aircraft has been turned meanwhile, and that is no matter
  hand.apply(event);
  CHECK(hand.engine.state().at == 1);
  const auto readings = run::swing_readings_of(hand.engine.state());
  REQUIRE(readings.size() == 2);
  CHECK(readings[0].compass == "remote");
  CHECK(readings[0].indicated_deg == 5.0);
  event.device = "no such compass";
  hand.apply(event);
  CHECK(run::swing_readings_of(hand.engine.state()).size() == 2);
}

TEST_CASE("a journal leads to the same swing, also when it ends between a reading and its doubt",
          "[procedure][synthetic]") {
  SwingHand hand = around(12);
  while (hand.engine.state().at < 9) hand.answer();
  hand.to_question();
  const double wrong = shown_on(270.0) + 10.0;
  hand.read(wrong);
  const auto plan = hand.engine.state().plan;
  run::Engine same{plan, hand.engine.state().journal};
  CHECK(same.prompt(hand.now_s).sentence == hand.prompt().sentence);
  auto cut = hand.engine.state().journal;
  while (cut.back().kind != EventKind::reading) cut.pop_back();
  run::Engine resumed{plan, cut};
  const auto further = resumed.weigh();
  REQUIRE(further.size() == 2);
  for (const run::Event& e : further) resumed.apply(e);
  CHECK(resumed.weigh().empty());
  CHECK(resumed.prompt(hand.now_s).sentence == hand.prompt().sentence);
}

TEST_CASE("a compass on a link is read by itself: the mean of its standing, with its sigma",
          "[procedure][closed-form]") {
  run::SwingRunOptions options = swing_options(8);
  options.compasses = {{"remote", true}};
  options.hold_s = 10.0;
  SwingHand hand{options, [](const std::string&, double) { return 0.0; }};
  const auto speak = [&](double seconds, double heading_deg) {
    for (const double until_s = hand.now_s + seconds; hand.now_s < until_s;) {
      hand.now_s += 0.5;
      // Across north: 359 and 1 by turns, one second each.
      const double off = std::fmod(std::floor(hand.now_s), 2.0) == 0.0 ? 1.0 : -1.0;
      const double deg = std::fmod(heading_deg + off + 360.0, 360.0);
      for (const run::Event& e : hand.engine.listen(hand.now_s, deg)) hand.apply(e);
      for (const run::Event& e : hand.engine.time_is(hand.now_s)) hand.apply(e);
    }
  };
  speak(20.0, 200.0);  // being turned: not counted
  hand.tap();
  speak(14.0, 0.0);
  REQUIRE(hand.engine.state().at == 1);
  const run::Read& read = hand.engine.state().reads.front();
  // So many whole seconds, 359 and 1 by turns: their mean is within 1 / n of north, and its sigma
  // is 1 / sqrt(n - 1); n is 8 or 9.
  CHECK(std::min(read.number, 360.0 - read.number) < 0.13);
  CHECK(read.sigma == Approx(0.36).margin(0.03));
  hand.tap();
  hand.wait(12.0);  // silent
  REQUIRE(hand.engine.state().asks_for_number());
  hand.read(44.0);  // typed all the same
  CHECK(hand.engine.state().at == 2);
}

TEST_CASE("what cannot be swung is refused", "[procedure][closed-form]") {
  run::SwingRunOptions options = swing_options(8);
  options.stations = 9;
  CHECK(run::swing_run_plan(options).error().kind == ErrorKind::OutOfRange);
  options = swing_options(8);
  options.compasses.clear();
  CHECK(run::swing_run_plan(options).error().where == "option --compass");
  options.compasses = {{"a", false}, {"a", false}};
  CHECK(run::swing_run_plan(options).error().what.find("two compasses") == 0);
  options.compasses = {{"a,b", false}};
  CHECK_FALSE(run::swing_run_plan(options));
  options = swing_options(8);
  options.loads = {"half"};
  CHECK_FALSE(run::swing_run_plan(options));
  options = swing_options(8);
  options.hold_s = -1.0;
  CHECK_FALSE(run::swing_run_plan(options));
}
