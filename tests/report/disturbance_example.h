// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <string>
#include <vector>

#include "procedure/disturbance_run.h"
#include "support/sample_fits.h"

// A made-up answer of a disturbance run, for tests of what shows one. Nothing here was computed
// from a recording; the figures only hang together as a person would expect.
namespace qn::samples {

inline FieldHeadingError heading_error(const Vector3& b, double half_deg, double horizontal_uT) {
  constexpr double kDeg = 180.0 / std::numbers::pi;
  FieldHeadingError error;
  double worst = 0.0;
  for (std::size_t i = 0; i < FieldHeadingError::kHeadings; ++i) {
    const double psi = 5.0 * static_cast<double>(i) / kDeg;
    const double n = horizontal_uT + b[0] * std::cos(psi) - b[1] * std::sin(psi);
    const double e = b[0] * std::sin(psi) + b[1] * std::cos(psi);
    const double deg = -std::atan2(e, n) * kDeg;
    error.curve_deg.push_back(deg);
    error.curve_95.push_back(band(deg - half_deg, deg + half_deg));
    if (deg <= worst) continue;
    worst = deg;
    error.worst_at_heading_deg = 5.0 * static_cast<double>(i);
  }
  error.worst = Angle::degrees(worst);
  error.worst_95 = band(std::max(0.0, worst - half_deg), worst + half_deg);
  error.worst_tilted = Angle::degrees(1.15 * worst);
  error.worst_tilted_95 = band(std::max(0.0, 1.15 * worst - half_deg), 1.15 * worst + half_deg);
  return error;
}

inline Verdict judged(const FieldHeadingError& error, const Limit& limit) {
  Verdict verdict;
  verdict.state = judge(error.worst_95, limit);
  verdict.limit = limit;
  return verdict;
}

/// One device as the run is made of it.
struct MadeDevice {
  std::string name;
  DeviceKind kind;
  Vector3 field_uT;
  double half_deg;
  std::vector<double> on_s;  ///< when it is switched on, each time for 20 s
};

inline StateEffect made_state(const MadeDevice& made, const std::string& name, double sign,
                              const DisturbanceRun& run) {
  StateEffect state;
  state.state = name;
  for (std::size_t i = 0; i < 3; ++i) {
    state.field.field_uT[i] = sign * made.field_uT[i];
    const double sigma = made.half_deg * run.earth.horizontal_uT / 57.3 / 2.0;
    state.field.covariance_uT2[i][i] = sigma * sigma;
  }
  state.heading = heading_error(state.field.field_uT, made.half_deg, run.earth.horizontal_uT);
  state.verdict = judged(state.heading, run.limit);
  double apart = -0.06;
  for (const double on : made.on_s) {
    const double from = sign > 0.0 ? on : on + 20.0;
    StateVisit visit;
    visit.from_s = from;
    visit.to_s = from + 20.0;
    visit.field_uT = state.field.field_uT;
    visit.worst = Angle::degrees(std::max(0.0, state.heading.worst.in_deg() + apart));
    apart += 0.11;
    state.visits.push_back(visit);
  }
  return state;
}

inline DeviceEffect made_device(const MadeDevice& made, const DisturbanceRun& run) {
  DeviceEffect device;
  device.name = made.name;
  device.kind = made.kind;
  device.repeats = made.on_s.size();
  device.states.push_back(made_state(made, "on", 1.0, run));
  for (const double on : made.on_s) {
    for (const double at : {on, on + 20.0}) {
      device.mark_times_s.push_back(at + 0.7);
      device.switch_times_s.push_back(at);
      device.switch_sigma_s.push_back(0.2);
    }
  }
  return device;
}

/// The field of the run at a time: drift, steps, and a pulsing one while it is on.
inline void make_trace(DisturbanceRun& run, double end_s) {
  Wobble wobble;
  const Vector3 rest{18.2, -6.9, 44.6};
  for (double t = 0.0; t < end_s; t += std::max(0.25, end_s / 4000.0)) {
    const double drift = 0.25 * std::sin(t / end_s * 2.2);
    Vector3 quiet{rest[0] + drift, rest[1] - 0.6 * drift, rest[2] + 0.2 * drift};
    Vector3 fit = quiet;
    bool used = true;
    for (const DeviceEffect& device : run.devices) {
      for (const StateEffect& state : device.states) {
        for (const StateVisit& visit : state.visits) {
          if (t < visit.from_s || t >= visit.to_s) continue;
          const bool travels = device.kind == DeviceKind::moving && t < visit.from_s + 6.0;
          if (travels) used = false;
          for (std::size_t i = 0; i < 3; ++i) fit[i] += visit.field_uT[i];
        }
      }
    }
    Vector3 seen = fit;
    for (const Unexplained& thing : run.unexplained) {
      if (t < thing.from_s || t >= thing.to_s) continue;
      if (thing.period_s && std::fmod(t, *thing.period_s) > 1.2) continue;
      for (std::size_t i = 0; i < 3; ++i) seen[i] += thing.size_uT[i];
    }
    for (double& value : seen) value += 0.03 * wobble.next();
    if (!used) seen[0] += 0.3;
    run.trace.time_s.push_back(t);
    run.trace.field_uT.push_back(seen);
    run.trace.fit_uT.push_back(fit);
    run.trace.rest_uT.push_back(quiet);
    run.trace.used.push_back(used ? 1 : 0);
  }
}

inline DisturbanceRun empty_run() {
  DisturbanceRun run;
  run.earth = middle_latitude();
  run.limit = {Angle::degrees(1.0), std::string{kStartingLimitBasis}};
  run.noise = {
      .white_uT = 0.031, .correlation_time_s = 0.4, .quantum_uT = 0.0, .drift_uT_per_min = 0.03};
  run.common_delay_s = 0.7;
  run.common_delay_sigma_s = 0.1;
  return run;
}

inline CombinationEffect made_phase(const DisturbanceRun& run, const std::string& name,
                                    const std::vector<std::size_t>& devices) {
  CombinationEffect phase;
  phase.phase = name;
  Vector3 sum{};
  for (const std::size_t k : devices) {
    phase.devices.push_back(run.devices[k].name);
    for (std::size_t i = 0; i < 3; ++i) sum[i] += run.devices[k].states[0].field.field_uT[i];
  }
  phase.field.field_uT = sum;
  for (std::size_t i = 0; i < 3; ++i) phase.field.covariance_uT2[i][i] = 0.004;
  phase.heading = heading_error(sum, 0.45, run.earth.horizontal_uT);
  phase.worst_subset_error = phase.heading.worst;
  phase.worst_subset_95 = phase.heading.worst_95;
  phase.best_cure = run.devices[devices.front()].name;
  phase.after_best_cure = Angle::degrees(0.6);
  phase.cure_order = {run.devices[devices.front()].name};
  phase.verdict = judged(phase.heading, run.limit);
  phase.verdict.because = "The sum of what is on in this phase, as vectors.";
  return phase;
}

/// Ten devices: one over, two unproven (of which one contested), one quiet, one pulsing, one
/// moving; two phases and everything at once; two unexplained things.
inline DisturbanceRun disturbance_example() {
  DisturbanceRun run = empty_run();
  run.to_s = 500.0;
  const std::vector<MadeDevice> made = {
      {"left landing light", DeviceKind::steady, {0.95, -0.88, 0.21}, 0.2, {20.0, 260.0}},
      {"roll servo, holding", DeviceKind::motor, {-0.3, 0.42, 0.1}, 1.4, {45.0, 285.0}},
      {"fuel pump", DeviceKind::motor, {0.25, 0.12, -0.05}, 0.45, {70.0, 310.0}},
      {"gear legs", DeviceKind::moving, {0.06, 0.16, 0.4}, 0.2, {95.0, 335.0}},
      {"strobes", DeviceKind::pulsing, {0.12, 0.04, 0.02}, 0.1, {120.0, 360.0}},
      {"trim", DeviceKind::motor, {-0.08, 0.05, 0.01}, 0.1, {160.0, 385.0}},
      {"pitot heater", DeviceKind::steady, {0.05, -0.06, 0.0}, 0.1, {185.0, 410.0}},
      {"transponder", DeviceKind::steady, {0.03, 0.02, 0.0}, 0.1, {210.0, 430.0}},
      {"panel lights", DeviceKind::steady, {0.02, 0.02, 0.01}, 0.08, {235.0, 455.0}},
      {"vent fan", DeviceKind::motor, {0.0, 0.01, 0.0}, 0.06, {478.0}}};
  for (const MadeDevice& one : made) run.devices.push_back(made_device(one, run));

  run.devices[0].states[0].verdict.because = "At least 3.6°, which is over the limit of 1.0°.";
  run.devices[0].per_ampere = PerAmpere{{0.068, -0.063, 0.015}, {0.003, 0.003, 0.003}, true};
  StateEffect& contested = run.devices[1].states[0];
  contested.unproven = true;
  contested.verdict.state = VerdictState::unproven;
  contested.verdict.do_next = "work it twice more with the breaker of the pitch servo out.";
  contested.visits[1].used = false;
  contested.visits[1].remark = "it looks like the pitch servo (0.02 µT apart).";
  contested.visits[1].worst = Angle::degrees(2.6);
  run.devices[1].remarks = {"The two repeats differ by more than their bands allow."};
  run.devices[2].states[0].verdict.state = VerdictState::unproven;
  run.devices[2].states[0].verdict.do_next =
      "leave it on for 40 s; the band then is narrow enough.";
  run.devices[3].remarks = {"Travel of 6 s left out, each time.",
                            "Could be the aircraft moving by 0.1°; 0.2° of tilt is in the band."};
  run.devices[4].pulsing = Pulsing{2.4, 0.12, {0.9, 0.3, 0.1}, {0.12, 0.04, 0.02}, false, {1.2}};
  run.devices[5].states[0].state = "nose up";
  run.devices[5].states.push_back(made_state(
      {"trim", DeviceKind::motor, {-0.08, 0.05, 0.01}, 0.1, {385.0}}, "nose down", -1.0, run));
  run.devices[5].states[0].visits.pop_back();
  run.devices[7].optional = true;
  StateEffect& quiet = run.devices[9].states[0];
  quiet.no_effect_seen = true;
  quiet.heading.worst_95 = band(0.0, 0.1);

  run.combinations = {made_phase(run, "night approach", {0, 3, 4, 6}),
                      made_phase(run, "cruise", {2, 4, 7}),
                      made_phase(run, "everything", {0, 1, 2, 3, 4, 5, 6, 7, 8, 9})};
  run.combinations[1].worst_subset = {"transponder"};
  run.all_on = AllOn{.measured = {{1.14, -0.31, 0.7}, {}},
                     .summed = {{1.1, -0.27, 0.68}, {}},
                     .agree = true,
                     .difference = Angle::degrees(0.2),
                     .difference_95 = band(0.0, 0.5)};
  run.unexplained = {
      {Unexplained::Kind::train,
       142.0,
       205.0,
       {0.14, 0.05, 0.0},
       Angle::degrees(0.4),
       8.0,
       "fuel pump"},
      {Unexplained::Kind::pulse, 441.0, 449.0, {0.3, 0.1, 0.1}, Angle::degrees(0.9), {}, {}}};
  run.cure_order = {"left landing light", "fuel pump"};
  run.assumptions = {"0.2° of tilt is in the band of gear legs, because no attitude was logged.",
                     "Marks of weak devices are taken as late as those of strong ones: 0.7 s.",
                     "The rest field drifts smoothly; its size was estimated from the recording."};
  run.remarks = {
      "Two marks were late by more than 2 s: left landing light at 00:20, trim at 02:40.",
      "3 spikes of one sample were left out.",
      "Vent fan: one of two steps is missing from the marks; it may have been skipped."};
  run.sentence =
      "The left landing light turns north by up to 3.8°, worst near 310 magnetic. Move its return "
      "wire, or the sensor.";
  run.verdict = run.devices[0].states[0].verdict;
  run.verdict.do_next = "Twist the left landing light’s feed with its return, then work it again.";
  make_trace(run, run.to_s);
  return run;
}

/// One quiet device, nothing else.
inline DisturbanceRun single_device() {
  DisturbanceRun run = empty_run();
  run.to_s = 90.0;
  run.devices.push_back(made_device(
      {"pitot heater", DeviceKind::steady, {0.11, -0.06, 0.02}, 0.1, {20.0, 60.0}}, run));
  run.sentence = "The pitot heater turns north by at most 0.5°.";
  run.verdict = run.devices[0].states[0].verdict;
  make_trace(run, run.to_s);
  return run;
}

}  // namespace qn::samples
