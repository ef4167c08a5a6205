// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <iterator>
#include <nlohmann/json.hpp>

#include "app/codec_marks.h"
#include "app/simulated_disturbance_files_internal.h"
#include "simulate/disturbance_heading.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;
using simulate::DeviceTruth;
using simulate::DisturbanceSettings;
using simulate::DisturbanceTruth;
using simulate::SimulatedRun;

std::string first_line(const SimulateDisturbanceRequest& request) {
  return fmt::format("# simulated, with a known truth: preset {}, seed {}\n", request.preset,
                     request.seed);
}

Json earth_object(const DisturbanceSettings& s) {
  constexpr double kDegPerRad = 57.29577951308232;
  return {{"H_uT", s.horizontal_uT},
          {"Z_uT", s.down_uT},
          {"F_uT", std::hypot(s.horizontal_uT, s.down_uT)},
          {"dip_deg", std::atan2(s.down_uT, s.horizontal_uT) * kDegPerRad}};
}

Json noise_object(const DisturbanceSettings& s) {
  return {{"white_uT", s.noise.white_sigma_uT},
          {"slow_uT", s.noise.slow_sigma_uT},
          {"correlation_time_s", s.noise.slow_correlation_time_s},
          {"vibration_uT", s.vibration_uT},
          {"quantum_uT", s.quantum_uT},
          {"rail_uT", s.rail_uT > 0.0 ? Json(s.rail_uT) : Json()}};
}

Json device_object(const DeviceTruth& device) {
  Json states = Json::array();
  for (std::size_t i = 1; i < device.states.size(); ++i) {
    const auto& state = device.states[i];
    states.push_back({{"state", state.state},
                      {"field_uT", state.field_uT},
                      {"worst_heading_error_deg", state.worst_heading_error_deg},
                      {"worst_at_heading_deg", state.worst_at_heading_deg},
                      {"slow_uT", state.slow_uT},
                      {"path_uT", state.path_uT},
                      {"tilt_roll_deg", state.tilt_roll_deg},
                      {"tilt_pitch_deg", state.tilt_pitch_deg}});
  }
  Json pulsing;
  if (device.period_s > 0.0) {
    pulsing = {{"period_s", device.period_s},
               {"duty", device.duty},
               {"peak_uT", device.states[1].peak_uT},
               {"mean_uT", device.states[1].field_uT}};
  }
  return {{"name", device.device.name},
          {"kind", to_word(device.device.kind)},
          {"absent", device.absent},
          {"states", states},
          {"pulsing", pulsing},
          {"slow_time_s", device.slow_time_s},
          {"inrush", device.inrush},
          {"inrush_time_s", device.inrush_time_s},
          {"vibration_uT", device.vibration_uT}};
}

Json marks_array(const SimulatedRun& run) {
  Json marks = Json::array();
  for (std::size_t m = 0; m < run.marks.size(); ++m) {
    const auto& truth = run.truth.marks[m];
    marks.push_back(
        {{"time_s", run.marks[m].time_s},
         {"device", run.marks[m].device},
         {"state", run.marks[m].state},
         {"switch_s", truth.switch_s},
         {"settled_s", truth.settled_s},
         {"lateness_s", truth.lateness_s},
         {"skipped", truth.skipped},
         {"worked_instead", truth.worked_instead.empty() ? Json() : Json(truth.worked_instead)}});
  }
  return marks;
}

Json events_array(const DisturbanceTruth& truth) {
  Json events = Json::array();
  for (const auto& event : truth.events) {
    const bool train = event.period_s > 0.0;
    events.push_back({{"kind", event.kind},
                      {"from_s", event.from_s},
                      {"to_s", event.to_s},
                      {"size_uT", event.size_uT},
                      {"period_s", train ? Json(event.period_s) : Json()},
                      {"duty", train ? Json(event.duty) : Json()}});
  }
  return events;
}

Json combinations_array(const DisturbanceTruth& truth) {
  Json out = Json::array();
  for (const auto& combination : truth.combinations) {
    out.push_back({{"phase", combination.phase},
                   {"devices", combination.devices},
                   {"field_uT", combination.field_uT},
                   {"worst_heading_error_deg", combination.worst_heading_error_deg}});
  }
  return out;
}

}  // namespace

std::string simulated_disturbance_log_csv(const SimulateDisturbanceRequest& request,
                                          const SimulatedRun& run) {
  const SensorRecording& log = run.recording;
  const bool attitude = !log.roll_deg.empty();
  const bool current = !log.current_A.empty();
  const bool temperature = !log.temperature_C.empty();
  std::string text = first_line(request) + "time_s,field_x_uT,field_y_uT,field_z_uT";
  if (attitude) text += ",roll_deg,pitch_deg";
  if (current) text += ",current_A";
  if (temperature) text += ",temperature_C";
  text += "\n";
  const auto out = std::back_inserter(text);
  for (std::size_t k = 0; k < log.size(); ++k) {
    fmt::format_to(out, "{:.4f},{:.4f},{:.4f},{:.4f}", log.time_s[k], log.field[0][k],
                   log.field[1][k], log.field[2][k]);
    if (attitude) fmt::format_to(out, ",{:.3f},{:.3f}", log.roll_deg[k], log.pitch_deg[k]);
    if (current) fmt::format_to(out, ",{:.3f}", log.current_A[k]);
    if (temperature) fmt::format_to(out, ",{:.2f}", log.temperature_C[k]);
    text += "\n";
  }
  return text;
}

std::string simulated_heading_csv(const SimulateDisturbanceRequest& request,
                                  const SimulatedRun& run,
                                  const simulate::HeadingDisplay& display) {
  const SensorRecording shown = simulate::displayed_heading(run.recording, display);
  std::string text = first_line(request) + "time_s,heading_deg\n";
  const auto out = std::back_inserter(text);
  for (std::size_t k = 0; k < shown.size(); ++k) {
    fmt::format_to(out, "{:.4f},{:.6g}\n", shown.time_s[k], shown.heading_deg[k]);
  }
  return text;
}

std::string simulated_marks_csv(const SimulateDisturbanceRequest& request,
                                const SimulatedRun& run) {
  return first_line(request) + marks_csv(run.marks);
}

std::string disturbance_truth_json(const SimulateDisturbanceRequest& request,
                                   const SimulatedRun& run, const std::string& analyse_command) {
  const DisturbanceTruth& truth = run.truth;
  const DisturbanceSettings& settings = truth.settings;
  Json devices = Json::array();
  for (const DeviceTruth& device : truth.devices) devices.push_back(device_object(device));
  Json gaps = Json::array();
  for (const auto& gap : truth.gaps_s) gaps.push_back({gap.lo, gap.hi});
  const Json document{{"schema", "quietnorth/disturbance-truth/1"},
                      {"preset", request.preset},
                      {"without", request.without_faults},
                      {"with", request.with_faults},
                      {"seed", truth.seed},
                      {"analyse_command", analyse_command},
                      {"samples", run.recording.size()},
                      {"rate_Hz", settings.rate_Hz},
                      {"earth", earth_object(settings)},
                      {"aircraft_heading_deg", settings.heading_deg},
                      {"earth_body_uT", truth.earth_body_uT},
                      {"noise", noise_object(settings)},
                      {"drift",
                       {{"warm_up_uT", truth.warm_up_uT},
                        {"warm_up_time_s", truth.warm_up_time_s},
                        {"wander_uT", settings.drift.wander_uT}}},
                      {"common_delay_s", settings.marks.common_delay_s},
                      {"devices", devices},
                      {"combinations", combinations_array(truth)},
                      {"marks", marks_array(run)},
                      {"events", events_array(truth)},
                      {"gaps_s", gaps}};
  return document.dump(2) + "\n";
}

}  // namespace qn
