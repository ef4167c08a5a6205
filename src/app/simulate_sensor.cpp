// SPDX-License-Identifier: Apache-2.0
#include "app/simulate_sensor.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <filesystem>
#include <utility>

#include "app/folder_of_files.h"
#include "app/place.h"
#include "app/simulated_files_internal.h"

namespace qn {
namespace {

namespace fs = std::filesystem;

Error no_such_scenario(const std::string& name) {
  return {ErrorKind::OutOfRange, fmt::format("there is no scenario '{}'", name),
          "option --scenario",
          fmt::format("one of {}", fmt::join(simulate::scenario_names(), ", ")),
          "choose one of these; nothing was written"};
}

std::string command_for(const SimulatedFiles& made) {
  std::string command =
      fmt::format("quietnorth sensor {} --at {} --on {}", made.log_path, made.at, made.on);
  if (made.stations_path) command += " --stations " + *made.stations_path;
  return command;
}

}  // namespace

std::vector<std::string> simulate_scenarios() { return simulate::scenario_names(); }

Result<SimulatedFiles> simulate_sensor(const SimulateRequest& request) {
  const auto scenario = simulate::scenario_named(request.scenario, request.seed);
  if (!scenario) return no_such_scenario(request.scenario);
  SimulatedFiles out;
  out.title = scenario->title;
  out.aircraft = scenario->aircraft;
  out.at = fmt::format("{},{}", scenario->latitude_deg, scenario->longitude_deg);
  out.on = scenario->date_iso;
  const auto model = local_field_from(out.at, out.on, std::nullopt, std::nullopt);
  if (!model) return model.error();

  const auto made = simulate::make_recording(simulate::with_field(*scenario, model.value()));
  const fs::path base{request.folder};
  out.samples = made.recording.size();
  out.log_path = (base / "log.csv").string();
  out.truth_path = (base / "truth.json").string();
  if (!made.stations.empty()) out.stations_path = (base / "stations.csv").string();
  out.fit_command = command_for(out);

  std::vector<FileInFolder> files{{"log.csv", simulated_log_csv(*scenario, made)}};
  if (out.stations_path) {
    files.push_back({"stations.csv", simulated_stations_csv(*scenario, made)});
  }
  // Relative to the folder, so that the same request writes the same bytes anywhere.
  SimulatedFiles inside = out;
  inside.log_path = "log.csv";
  if (inside.stations_path) inside.stations_path = "stations.csv";
  files.push_back(
      {"truth.json", simulated_truth_json(*scenario, model.value(), made, command_for(inside))});
  const auto written = write_folder(request.folder, files);
  if (!written) return written.error();
  return out;
}

}  // namespace qn
