// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "procedure/run_engine.h"
#include "procedure/run_swing.h"
#include "procedure/run_turning.h"

namespace qn::test {

inline run::SwingRunOptions swing_options(int stations, bool both_turns = false) {
  run::SwingRunOptions options;
  options.stations = stations;
  options.both_turns = both_turns;
  options.compasses = {{"standby", false}};
  return options;
}

/// Somebody who turns the aircraft and reads. `shows` is what a compass shows on a station.
struct SwingHand {
  explicit SwingHand(const run::SwingRunOptions& options,
                     std::function<double(const std::string&, double)> what)
      : engine{std::make_shared<run::Plan>(run::swing_run_plan(options).value())},
        shows{std::move(what)} {
    engine.apply(run::said(run::EventKind::acknowledge, now_s));
  }

  void apply(const run::Event& event) {
    engine.apply(event);
    for (const run::Event& further : engine.weigh()) engine.apply(further);
  }
  void wait(double seconds) {
    for (const double until_s = now_s + seconds; now_s < until_s;) {
      now_s += 1.0;
      for (const run::Event& event : engine.time_is(now_s)) apply(event);
    }
  }
  run::Prompt prompt() const { return engine.prompt(now_s); }
  void tap() {
    const auto asked = prompt().main;
    run::Event event = run::tap_at(now_s);
    event.device = asked->device;
    event.state = asked->state;
    apply(event);
  }
  /// That the compass in question shows so much.
  void read(double number) {
    run::Event event = run::said(run::EventKind::reading, now_s);
    event.device = prompt().number->device;
    event.state = prompt().number->state;
    event.number = number;
    apply(event);
  }
  double station() const { return *run::station_of(engine.state().step().device); }
  /// To the next question for a number: taps what is asked before, and stands for its time.
  void to_question() {
    while (!engine.over() && !engine.state().asks_for_number()) {
      engine.state().phase == run::State::Phase::ask ? tap() : wait(1.0);
    }
  }
  /// One question, answered by what is shown.
  void answer() {
    to_question();
    if (!engine.over()) read(shows(prompt().number->device, station()));
  }
  void to_the_end() {
    while (!engine.over()) answer();
  }

  double now_s = 0.0;
  run::Engine engine;
  std::function<double(const std::string&, double)> shows;
};

}  // namespace qn::test
