// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "procedure/disturbance_plan.h"
#include "procedure/run_engine.h"
#include "simulate/disturbance_settings.h"
#include "simulate/live_aircraft.h"
#include "vocab/sample.h"

namespace qn::test {

inline Device hand_device(const std::string& name) {
  Device device;
  device.name = name;
  device.current_A = 2.0;
  return device;
}

/// Small, but with a caution, a helper, an optional device and one that must not stay on.
inline std::vector<Device> hand_equipment() {
  std::vector<Device> list = {hand_device("Master"), hand_device("Radio"),
                              hand_device("Left light"), hand_device("Fan"), hand_device("Trim")};
  list[1].with = "Master";
  list[3].optional = true;
  list[4].kind = DeviceKind::motor;
  list[4].states = {"neutral", "up"};
  list[4].max_on_s = 15.0;
  list[4].caution = "People clear of the surfaces";
  return list;
}

inline simulate::DisturbanceSettings hand_settings() {
  simulate::DisturbanceSettings settings;
  settings.noise = {0.05, 0.0, 0.0};
  settings.effects.zero_share = 0.0;
  settings.effects.worst_deg = {1.5, 6.0};
  return settings;
}

inline std::shared_ptr<const run::Plan> hand_plan(const std::vector<Device>& equipment) {
  PlanOptions options;
  options.limit = {Angle::degrees(1.0), "test"};
  options.noise_uT = 0.05;
  options.earth.horizontal_uT = 20.0;
  return std::make_shared<run::Plan>(
      run::plan_of(plan_disturbance(equipment, options).value(), equipment));
}

/// A run with somebody at the switches. What was asked for is done `hand_s` after it was asked, and
/// tapped `late_s` after that, with "so many seconds ago" when `says_so`.
struct Hand {
  explicit Hand(const std::vector<Device>& list,
                const simulate::DisturbanceSettings& settings = hand_settings(),
                const std::vector<std::string>& absent = {})
      : equipment{list}, aircraft{list, settings, 7, absent}, engine{hand_plan(list)} {}

  std::vector<Device> equipment;
  simulate::LiveAircraft aircraft;
  run::Engine engine;
  double interval_s = 0.1, hand_s = 3.0, late_s = 0.5;
  bool says_so = false;
  double now_s = 0.0;
  SensorRecording recording;
  /// Called with each prompt before it is answered; true: it was dealt with.
  std::function<bool(const run::Prompt&)> instead;

  void say(const run::Event& event) { engine.apply(event); }

  /// One sample, and what the hand does about the prompt.
  void step() {
    const Vector3 field = aircraft.field_at(now_s);
    recording.time_s.push_back(now_s);
    for (std::size_t i = 0; i < 3; ++i) recording.field[i].push_back(field[i]);
    for (const run::Event& event : engine.listen(now_s, field)) engine.apply(event);
    const run::Prompt prompt = engine.prompt(now_s);
    if (!(instead && instead(prompt))) answer(prompt);
    now_s = static_cast<double>(recording.time_s.size()) * interval_s;
  }

  void answer(const run::Prompt& prompt) {
    const run::State& s = engine.state();
    if (prompt.must_acknowledge) return say(run::said(run::EventKind::acknowledge, now_s));
    if (s.phase != run::State::Phase::ask || !prompt.main) return;
    const run::Act& act = s.acts[s.act];
    if (!aircraft.has(act.device) && act.device != "*" && act.device.rfind("phase:", 0) != 0) {
      return say(run::said(run::EventKind::no_such_device, now_s));
    }
    const double asked_for_s = now_s - s.asked_s;
    if (asked_for_s >= hand_s && switched_for_ != s.asked_s) {
      aircraft.put(now_s, act.device, act.state);
      switched_for_ = s.asked_s;
      switched_s_ = now_s;
    }
    if (switched_for_ == s.asked_s && now_s - switched_s_ >= late_s) {
      say(run::tap_at(now_s, says_so ? now_s - switched_s_ : 0.0));
    }
  }

  /// Until it is over, or until `stop_s`.
  void go(double stop_s = 20000.0) {
    while (!engine.over() && now_s < stop_s) step();
  }

 private:
  double switched_for_ = -1.0, switched_s_ = 0.0;
};

}  // namespace qn::test
