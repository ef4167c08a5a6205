// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_engine.h"

#include <catch2/catch.hpp>
#include <set>

#include "procedure/disturbance_run.h"
#include "procedure/run_hand.h"

using namespace qn;
using test::Hand;

namespace {

/// Everything that can be seen of a state, as text.
std::string seen_of(const run::State& s, double now_s) {
  const run::Prompt p = run::prompt_of(s, now_s);
  std::string text = p.sentence + "|" + p.caution + "|" + p.held + "|" + p.noticed + "|" + p.next;
  text += p.main ? "|" + p.main->label : "|-";
  text += p.second ? "|" + p.second->label : "|-";
  for (const double number : {s.now_s, s.since_s, s.asked_s, s.R_uT2_s, s.q_uT2_per_s,
                              p.least_left_s, p.most_left_s, s.offered_at_s.value_or(-1.0)}) {
    text += "|" + std::to_string(number);
  }
  text += "|" + std::to_string(s.at) + "/" + std::to_string(s.act) + "/" +
          std::to_string(static_cast<int>(s.phase)) + "/" + std::to_string(s.todo.size());
  for (const Mark& m : s.marks) text += "|" + m.device + m.state + std::to_string(m.time_s);
  for (const auto& aim : s.aims) {
    text += "|" + std::to_string(aim.visits) + ":" + std::to_string(aim.information);
  }
  return text;
}

std::size_t count_marks(const run::State& s, const std::string& device, const std::string& state) {
  std::size_t count = 0;
  for (const Mark& m : s.marks) count += m.device == device && m.state == state ? 1 : 0;
  return count;
}

DisturbanceOptions analysis_options(const std::vector<Device>& equipment) {
  DisturbanceOptions options;
  options.earth.horizontal_uT = 20.0;
  options.earth.down_uT = 45.0;
  options.equipment = equipment;
  options.limit = {Angle::degrees(1.0), "test"};
  return options;
}

}  // namespace

TEST_CASE("one person is led through the plan, and every state is worked at least twice",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  hand.go();
  const run::State& s = hand.engine.state();
  REQUIRE(hand.engine.over());
  CHECK_FALSE(s.stopped);
  for (const char* device : {"Master", "Radio", "Left light", "Fan"}) {
    INFO(device);
    CHECK(count_marks(s, device, "on") >= 2);
    CHECK(count_marks(s, device, "on") == count_marks(s, device, "off"));
  }
  CHECK(count_marks(s, "Trim", "up") >= 2);
  CHECK(s.helpers_on.empty());
  // Each aim is known well enough, or was worked as often as makes sense.
  for (std::size_t i = 0; i < s.aims.size(); ++i) {
    const Angle width =
        Angle::radians(std::asin(1.96 / std::sqrt(s.aims[i].information) / s.plan->horizontal_uT));
    CHECK((width.in_deg() <= 0.1001 || s.aims[i].visits >= s.plan->most_visits));
  }
}

TEST_CASE("a journal cut anywhere leads to the state and prompt that were there",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment(), test::hand_settings(), {"Fan"}};
  std::vector<std::string> seen;
  std::vector<double> at;
  hand.instead = [&](const run::Prompt&) {
    // One look after each event is not possible from outside; the state after each sample is.
    const auto& journal = hand.engine.state().journal;
    while (seen.size() < journal.size()) {
      seen.emplace_back();
      at.push_back(hand.now_s);
    }
    if (!journal.empty()) seen[journal.size() - 1] = seen_of(hand.engine.state(), at.back());
    if (hand.now_s > 120.0 && hand.now_s < 120.05) {
      hand.say(run::said(run::EventKind::pause, hand.now_s));
      return true;
    }
    if (hand.engine.state().paused) {
      if (hand.now_s > 150.0) hand.say(run::said(run::EventKind::resume, hand.now_s));
      return true;
    }
    return false;
  };
  hand.go();
  const auto journal = hand.engine.state().journal;
  REQUIRE(journal.size() > 50);
  std::size_t compared = 0;
  for (std::size_t n = 1; n <= seen.size(); ++n) {
    if (seen[n - 1].empty()) continue;  // two events at one sample
    const std::vector<run::Event> cut(journal.begin(),
                                      journal.begin() + static_cast<std::ptrdiff_t>(n));
    const run::State again = run::rebuild(hand.engine.state().plan, cut);
    CHECK(seen_of(again, at[n - 1]) == seen[n - 1]);
    ++compared;
  }
  CHECK(compared > 40);
}

TEST_CASE("after a crash the run goes on at the same step and comes to its end",
          "[procedure][synthetic]") {
  Hand first{test::hand_equipment()};
  first.go(200.0);
  const std::string before = seen_of(first.engine.state(), 200.0);
  const auto journal = first.engine.state().journal;
  first.engine = run::Engine{first.engine.state().plan, journal};
  CHECK(seen_of(first.engine.state(), 200.0) == before);
  const std::size_t at = first.engine.state().at;
  first.go(202.0);
  CHECK(first.engine.state().at == at);
  first.go();
  CHECK(first.engine.over());
}

TEST_CASE("the same samples and answers give the same journal", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  hand.go();
  const auto& live = hand.engine.state().journal;
  // Replay: the operator's events at their times, everything else heard anew.
  const std::set<run::EventKind> heard = {run::EventKind::held,     run::EventKind::visit,
                                          run::EventKind::seen,     run::EventKind::gap,
                                          run::EventKind::drifting, run::EventKind::calm};
  run::Engine replay{hand.engine.state().plan};
  std::size_t next = 0;
  for (std::size_t i = 0; i < hand.recording.size(); ++i) {
    const double t = hand.recording.time_s[i];
    const Vector3 field = {hand.recording.field[0][i], hand.recording.field[1][i],
                           hand.recording.field[2][i]};
    for (const run::Event& e : replay.listen(t, field)) replay.apply(e);
    while (next < live.size() && live[next].time_s <= t) {
      if (heard.count(live[next].kind) == 0) replay.apply(live[next]);
      ++next;
    }
  }
  const auto& again = replay.state().journal;
  REQUIRE(again.size() == live.size());
  for (std::size_t i = 0; i < live.size(); ++i) {
    CHECK(again[i].kind == live[i].kind);
    CHECK(again[i].time_s == live[i].time_s);
    CHECK(again[i].information == live[i].information);
  }
}

TEST_CASE("the answer at the end is that of the recording and the marks, to the last digit",
          "[procedure][synthetic]") {
  const auto equipment = test::hand_equipment();
  Hand hand{equipment};
  hand.go();
  const auto serial = [](std::size_t count, const std::function<void(std::size_t)>& work) {
    for (std::size_t i = 0; i < count; ++i) work(i);
  };
  const auto options = analysis_options(equipment);
  const auto live = analyse_disturbance(hand.recording, hand.engine.marks(), options, serial);
  REQUIRE(live.has_value());
  // What is kept: the samples, and a journal from which the marks follow.
  const run::State kept = run::rebuild(hand.engine.state().plan, hand.engine.state().journal);
  const SensorRecording stored = hand.recording;
  const auto later = analyse_disturbance(stored, kept.marks, options, serial);
  REQUIRE(later.has_value());
  CHECK(later.value().sentence == live.value().sentence);
  REQUIRE(later.value().devices.size() == live.value().devices.size());
  for (std::size_t i = 0; i < live.value().devices.size(); ++i) {
    const auto& a = live.value().devices[i].worst_state();
    const auto& b = later.value().devices[i].worst_state();
    CHECK(a.heading.worst.in_deg() == b.heading.worst.in_deg());
    CHECK(a.heading.worst_95.lo.in_deg() == b.heading.worst_95.lo.in_deg());
    CHECK(a.heading.worst_95.hi.in_deg() == b.heading.worst_95.hi.in_deg());
  }
  // And it is near the truth: the marks were good for something.
  for (const auto& device : live.value().devices) {
    for (const auto& truth : hand.aircraft.devices()) {
      if (truth.device.name != device.name) continue;
      INFO(device.name);
      const double want = truth.states[1].worst_heading_error_deg;
      CHECK(device.worst_state().heading.worst.in_deg() == Approx(want).margin(0.15));
    }
  }
}
