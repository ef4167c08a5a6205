// SPDX-License-Identifier: Apache-2.0
#include "cli/command_sensor_simulate.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <memory>
#include <string>

#include "app/simulate_sensor.h"
#include "cli/folded_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

int run(const SimulateRequest& request) {
  const auto made = simulate_sensor(request);
  if (!made) return print_error(made.error());
  const SimulatedFiles& files = made.value();
  std::string text = folded(fmt::format("Scenario {}, seed {}: {}. Aircraft: {}.", request.scenario,
                                        request.seed, files.title, files.aircraft)) +
                     "\n\n";
  text += fmt::format("  recording   {}  ({} samples)\n", files.log_path, files.samples);
  if (files.stations_path) text += fmt::format("  stations    {}\n", *files.stations_path);
  text += fmt::format("  the truth   {}\n\n", files.truth_path);
  text += fmt::format("To solve it:\n  {}\n", files.fit_command);
  return print_answer(text);
}

}  // namespace

void add_sensor_simulate(CLI::App& sensor, int& exit_code) {
  auto request = std::make_shared<SimulateRequest>();
  CLI::App* command = sensor.add_subcommand(
      "simulate", "a made-up recording with a known truth, to try the program on");
  command
      ->add_option("--scenario", request->scenario,
                   fmt::format("which story: {}", fmt::join(simulate_scenarios(), ", ")))
      ->capture_default_str();
  command->add_option("--seed", request->seed, "the same seed makes the same files")
      ->capture_default_str();
  command->add_option("--out", request->folder, "folder for log.csv, stations.csv and truth.json")
      ->required();
  command->callback([request, &exit_code] { exit_code = run(*request); });
}

}  // namespace qn
