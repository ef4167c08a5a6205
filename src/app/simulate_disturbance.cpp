// SPDX-License-Identifier: Apache-2.0
#include "app/simulate_disturbance.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <utility>

#include "app/codec_equipment.h"
#include "app/folder_of_files.h"
#include "app/place.h"
#include "app/simulated_disturbance_files_internal.h"
#include "simulate/random.h"
#include "simulate/sensor_truth.h"

namespace qn {
namespace {

using simulate::DisturbanceSettings;
using simulate::SimulatedRun;

constexpr std::uint64_t kFieldStream = 100;

Error no_such_name(const std::string& name, const std::string& option,
                   const std::vector<std::string>& names) {
  return {ErrorKind::OutOfRange, fmt::format("{} knows no '{}'", option, name), "option " + option,
          fmt::format("one of {}", fmt::join(names, ", ")),
          "choose among these; nothing was written"};
}

Error out_of_range(const std::string& what, const std::string& option, const std::string& range) {
  return {ErrorKind::OutOfRange, what, "option " + option, range,
          "give a value in that range; nothing was written"};
}

Result<Done> set_numbers(const SimulateDisturbanceRequest& request, DisturbanceSettings& settings) {
  if (request.rate_Hz) {
    if (!(*request.rate_Hz >= 1.0 && *request.rate_Hz <= 1000.0)) {
      return out_of_range(fmt::format("a rate of {} Hz", *request.rate_Hz), "--rate-Hz",
                          "1 to 1000 samples a second");
    }
    settings.rate_Hz = *request.rate_Hz;
  }
  if (request.noise_uT) {
    if (!(*request.noise_uT >= 0.0 && *request.noise_uT <= 100.0)) {
      return out_of_range(fmt::format("noise of {} uT", *request.noise_uT), "--noise-uT",
                          "0 to 100 microtesla, 1 sigma of one sample");
    }
    settings.noise.white_sigma_uT = *request.noise_uT;
  }
  if (request.aircraft_heading_deg) {
    if (!(*request.aircraft_heading_deg >= 0.0 && *request.aircraft_heading_deg < 360.0)) {
      return out_of_range(fmt::format("a heading of {} degrees", *request.aircraft_heading_deg),
                          "--aircraft-heading", "0 up to 360 degrees, magnetic");
    }
    settings.heading_deg = *request.aircraft_heading_deg;
  }
  if (request.passes) {
    if (*request.passes < 1 || *request.passes > 20) {
      return out_of_range(fmt::format("{} passes through the list", *request.passes), "--passes",
                          "1 to 20");
    }
    settings.operator_habits.passes = *request.passes;
  }
  settings.log_attitude = request.log_attitude;
  settings.log_current = request.log_current;
  return Done{};
}

Result<DisturbanceSettings> settings_for(const SimulateDisturbanceRequest& request) {
  const auto preset = simulate::disturbance_preset(request.preset);
  if (!preset) return no_such_name(request.preset, "--preset", simulate::disturbance_presets());
  DisturbanceSettings settings = *preset;
  for (const std::string& fault : request.without_faults) {
    if (!simulate::without_fault(settings, fault)) {
      return no_such_name(fault, "--without", simulate::disturbance_faults());
    }
  }
  for (const std::string& fault : request.with_faults) {
    if (!simulate::with_fault(settings, fault)) {
      return no_such_name(fault, "--with", simulate::disturbance_faults());
    }
  }
  if (const auto set = set_numbers(request, settings); !set) return set.error();
  return settings;
}

Result<simulate::HeadingDisplay> display_for(const SimulateDisturbanceRequest& request) {
  simulate::HeadingDisplay out;
  out.step_deg = request.display_step_deg.value_or(out.step_deg);
  if (!(out.step_deg >= 0.0 && out.step_deg <= 10.0)) {
    return out_of_range(fmt::format("a display in steps of {} degrees", out.step_deg),
                        "--display-step-deg", "0 (none) to 10 degrees");
  }
  if (request.display_lag_s && request.display_fade_s) {
    return out_of_range("a display that both lags and fades", "--display-fade-s",
                        "one of --display-lag-s and --display-fade-s");
  }
  const std::optional<double> constant_s =
      request.display_lag_s ? request.display_lag_s : request.display_fade_s;
  if (!constant_s) return out;
  if (!(*constant_s > 0.0 && *constant_s <= 1000.0)) {
    return out_of_range(fmt::format("a display with a time constant of {} s", *constant_s),
                        request.display_lag_s ? "--display-lag-s" : "--display-fade-s",
                        "above 0, up to 1000 s");
  }
  out.follows = request.display_lag_s ? simulate::HeadingDisplay::Follows::slowly
                                      : simulate::HeadingDisplay::Follows::fading;
  out.time_constant_s = *constant_s;
  return out;
}

bool field_given(const SimulateDisturbanceRequest& request) {
  return request.at || request.on || request.horizontal_uT || request.vertical_uT;
}

/// The true field lies near what the words say, by the words' own 1 sigma.
Result<Done> set_field(const SimulateDisturbanceRequest& request, DisturbanceSettings& settings) {
  if (!field_given(request)) return Done{};
  const auto model =
      local_field_from(request.at, request.on, request.horizontal_uT, request.vertical_uT);
  if (!model) return model.error();
  simulate::Random random{request.seed, kFieldStream};
  const LocalField truth = simulate::draw_true_field(model.value(), random);
  settings.horizontal_uT = truth.horizontal_uT;
  settings.down_uT = truth.down_uT;
  return Done{};
}

std::string analyse_command(const SimulateDisturbanceRequest& request, const SimulatedRun& run,
                            const std::string& log, const std::string& marks,
                            const std::string& equipment) {
  const DisturbanceSettings& settings = run.truth.settings;
  std::string field = request.at ? fmt::format("--at {} --on {}", *request.at, *request.on)
                                 : fmt::format("--horizontal-uT {} --vertical-uT {}",
                                               request.horizontal_uT.value_or(20.0),
                                               request.vertical_uT.value_or(45.0));
  return fmt::format("quietnorth disturb analyse {} {} --equipment {} {} --aircraft-heading {}",
                     log, marks, equipment, field, settings.heading_deg);
}

void count_faults(const SimulatedRun& run, SimulatedDisturbanceFiles& out) {
  constexpr double kLate_s = 2.0;
  out.samples = run.recording.size();
  out.seconds = run.recording.time_s.empty() ? 0.0 : run.recording.time_s.back();
  for (std::size_t m = 0; m < run.marks.size(); ++m) {
    const auto& truth = run.truth.marks[m];
    if (std::abs(truth.lateness_s) > kLate_s) ++out.late;
    if (!truth.away) continue;  // the mark back shares the step's fate
    ++out.steps;
    if (truth.skipped) ++out.skipped;
    if (!truth.worked_instead.empty()) ++out.substituted;
  }
  for (const auto& event : run.truth.events) out.unplanned += event.kind == "spike" ? 0 : 1;
  const auto& a = run.truth.warm_up_uT;
  const double done = 1.0 - std::exp(-out.seconds / run.truth.warm_up_time_s);
  out.drift_uT = std::hypot(a[0], a[1], a[2]) * done;
}

}  // namespace

std::vector<std::string> simulate_disturbance_presets() { return simulate::disturbance_presets(); }
std::vector<std::string> simulate_disturbance_faults() { return simulate::disturbance_faults(); }

Result<SimulatedDisturbanceFiles> simulate_disturbance(const SimulateDisturbanceRequest& request) {
  const auto wanted = settings_for(request);
  if (!wanted) return wanted.error();
  DisturbanceSettings settings = wanted.value();
  if (const auto set = set_field(request, settings); !set) return set.error();
  const auto equipment = read_equipment(request.equipment_path);
  if (!equipment) return equipment.error();

  const auto display = display_for(request);
  if (!display) return display.error();
  const SimulatedRun run =
      simulate::make_disturbance_run(equipment.value(), settings, request.seed);
  SimulatedDisturbanceFiles out;
  out.devices = equipment.value().size();
  count_faults(run, out);
  // Relative to the folder, so that the same request writes the same bytes anywhere.
  const std::string inside = analyse_command(request, run, "log.csv", "marks.csv", "equipment.csv");
  std::vector<FileInFolder> files{{"log.csv", simulated_disturbance_log_csv(request, run)},
                                  {"marks.csv", simulated_marks_csv(request, run)},
                                  {"equipment.csv", equipment_csv(equipment.value())},
                                  {"truth.json", disturbance_truth_json(request, run, inside)}};
  if (request.heading_log) {
    files.push_back({"heading.csv", simulated_heading_csv(request, run, display.value())});
  }
  const auto paths = write_folder(request.folder, files);
  if (!paths) return paths.error();
  out.log_path = paths.value()[0];
  out.marks_path = paths.value()[1];
  out.equipment_path = paths.value()[2];
  out.truth_path = paths.value()[3];
  if (request.heading_log) out.heading_path = paths.value()[4];
  out.analyse_command =
      analyse_command(request, run, out.log_path, out.marks_path, out.equipment_path);
  return out;
}

}  // namespace qn
