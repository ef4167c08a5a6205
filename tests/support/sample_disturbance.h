// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "app/analyse_disturbance.h"

namespace qn::samples {

inline LocalField field_here() {
  LocalField earth;
  earth.horizontal_uT = 20.0;
  earth.down_uT = 45.0;
  earth.sigma_horizontal_uT = earth.sigma_down_uT = 0.1;
  earth.source = "measured, as given";
  return earth;
}

inline UncertainField known_field(const Vector3& field_uT, double sigma_uT) {
  UncertainField out{field_uT, {}};
  for (std::size_t i = 0; i < 3; ++i) out.covariance_uT2[i][i] = sigma_uT * sigma_uT;
  return out;
}

inline Verdict judged(const Band95& band, const std::string& do_next = "") {
  const Limit limit{Angle::degrees(1.0), std::string{kStartingLimitBasis}};
  return {judge(band, limit), limit, "the band against the limit", do_next};
}

inline StateEffect state_effect(const std::string& name, const Vector3& field_uT,
                                const std::string& do_next = "") {
  StateEffect out;
  out.state = name;
  out.field = known_field(field_uT, 0.02);
  out.heading = heading_error_of(out.field, field_here());
  StateVisit visit;
  visit.from_s = 30.0;
  visit.to_s = 55.0;
  visit.field_uT = field_uT;
  visit.field_sigma_uT = {0.03, 0.03, 0.03};
  visit.worst = out.heading.worst;
  out.visits = {visit, visit};
  out.verdict = judged(out.heading.worst_95, do_next);
  return out;
}

inline DeviceEffect device_effect(const std::string& name, DeviceKind kind,
                                  std::vector<StateEffect> states) {
  DeviceEffect out;
  out.name = name;
  out.kind = kind;
  out.repeats = 2;
  out.states = std::move(states);
  out.mark_times_s = {30.0, 55.0, 200.0, 226.0};
  out.switch_times_s = {29.1, 54.2, 199.3, 225.1};
  out.switch_sigma_s = {0.1, 0.1, 0.1, 0.1};
  return out;
}

/// One of everything that a run can hold; invented.
inline DisturbanceRun whole_run() {
  DisturbanceRun run;
  run.earth = field_here();
  run.limit = {Angle::degrees(1.0), std::string{kStartingLimitBasis}};
  run.to_s = 900.0;
  run.noise = {0.08, 0.4, 0.01, 0.02};
  run.common_delay_s = 0.9;
  run.common_delay_sigma_s = 0.2;
  DeviceEffect light = device_effect("landing light, left", DeviceKind::steady,
                                     {state_effect("on", {1.1, 0.7, 0.2})});
  light.per_ampere = PerAmpere{{0.2, 0.1, 0.0}, {0.01, 0.01, 0.01}, true};
  DeviceEffect strobe = device_effect("strobe", DeviceKind::pulsing,
                                      {state_effect("on", {0.3, 0.1, 0.0}, "Dwell for 60 s.")});
  strobe.pulsing = Pulsing{1.2, 0.15, {2.0, 0.6, 0.0}, {0.3, 0.1, 0.0}, false, {0.6}};
  DeviceEffect trim = device_effect(
      "trim", DeviceKind::motor,
      {state_effect("nose up", {0.1, 0.2, 0.0}), state_effect("nose down", {0.0, -0.2, 0.0})});
  trim.remarks = {"One visit disagrees with the others: it was set aside."};
  trim.states[0].visits[1].used = false;
  trim.states[0].visits[1].remark = "most likely the strobe was worked in its place.";
  DeviceEffect radio = device_effect("radio", DeviceKind::steady, {state_effect("on", {})});
  radio.states[0].no_effect_seen = true;
  run.devices = {light, strobe, trim, radio};
  CombinationEffect night;
  night.phase = "night";
  night.devices = {"landing light, left", "strobe"};
  night.field = known_field({1.4, 0.8, 0.2}, 0.03);
  night.heading = heading_error_of(night.field, run.earth);
  night.worst_subset = {"landing light, left"};
  night.worst_subset_error = Angle::degrees(4.9);
  night.worst_subset_95 = {Angle::degrees(4.7), Angle::degrees(5.1)};
  night.best_cure = "landing light, left";
  night.after_best_cure = Angle::degrees(0.9);
  night.cure_order = {"landing light, left"};
  night.verdict = judged(night.heading.worst_95);
  run.combinations = {night};
  run.all_on = AllOn{known_field({1.5, 0.9, 0.2}, 0.05),
                     known_field({1.5, 1.0, 0.2}, 0.05),
                     true,
                     Angle::degrees(0.3),
                     {Angle::degrees(0.0), Angle::degrees(0.6)}};
  run.unexplained = {
      {Unexplained::Kind::train, 222.0, 286.0, {0.1, 0.1, 0.0}, Angle::degrees(0.4), 8.0, "strobe"},
      {Unexplained::Kind::spike, 400.0, 400.1, {3.0, 0.0, 0.0}, Angle::degrees(8.6), {}, {}}};
  run.cure_order = {"landing light, left"};
  run.assumptions = {"Kinds moving and engine carry 0.2 degree of tilt."};
  run.remarks = {"2 samples of a spike were left out."};
  for (int k = 0; k < 9000; ++k) {
    run.trace.time_s.push_back(0.1 * k);
    run.trace.field_uT.push_back({20.0 + 0.001 * k, 1.0 / 3.0, 45.0});
    run.trace.fit_uT.push_back({20.0, 0.3, 45.0});
    run.trace.rest_uT.push_back({20.0, 0.3, 45.0});
    run.trace.used.push_back(k % 2 == 0 ? 1 : 0);
  }
  run.sentence = "The landing light, left turns the heading by up to 3.7 degrees, near 148.";
  run.verdict = light.states[0].verdict;
  run.verdict.do_next = "Lay its return wire beside its feed.";
  return run;
}

inline DisturbanceDocument document_of(DisturbanceRun run) {
  DisturbanceDocument out;
  out.run = std::move(run);
  out.tally.rows = 9000;
  out.tally.median_interval_s = 0.1;
  out.samples = 9000;
  out.provenance.log_name = "run.csv";
  out.provenance.log_sha256 = std::string(64, 'a');
  out.provenance.program_version = "0.1.0";
  out.marks_file = {"marks.csv", std::string(64, 'b')};
  return out;
}

}  // namespace qn::samples
