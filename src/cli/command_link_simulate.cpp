// SPDX-License-Identifier: Apache-2.0
#include "cli/command_link_simulate.h"

#include <fmt/format.h>

#include <memory>
#include <optional>
#include <string>

#include "app/simulate_link.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct Options {
  SimulateLinkRequest request;
  SimulateDisturbanceRequest disturbance;
  std::string equipment, folder;
};

int run(Options& options) {
  SimulateLinkRequest& request = options.request;
  if (!options.equipment.empty()) {
    request.disturbance = options.disturbance;
    request.disturbance->equipment_path = options.equipment;
    request.disturbance->folder = options.folder;
    request.disturbance->seed = request.seed;
  }
  request.folder = options.folder;
  int printed = kExitDone;
  request.on_path = [&printed](const std::string& path) {
    const int now = print_answer(fmt::format("The sensor speaks at {}\n", path));
    if (now != kExitDone) printed = now;
  };
  const auto played = simulate_link(request);
  if (!played) return print_error(played.error());
  const SimulatedLink& done = played.value();
  const int last =
      print_answer(fmt::format("{:.1f} s played: {} lines sent, {} while nobody listened.\n",
                               done.seconds, done.lines_sent, done.lines_lost));
  return printed != kExitDone ? printed : last;
}

}  // namespace

void add_link_simulate(CLI::App& link, int& exit_code) {
  auto options = std::make_shared<Options>();
  SimulateLinkRequest& request = options->request;
  CLI::App* command = link.add_subcommand(
      "simulate", "a made-up sensor behind a port of this computer, to try the program on");
  command->add_option("--log", request.log_path, "play this text log");
  command->add_option("--equipment", options->equipment,
                      "play a made-up disturbance run of this equipment list");
  command->add_option("--scenario", request.scenario,
                      "play a made-up sensor, as 'sensor simulate' makes it");
  command->add_option("--out", options->folder, "folder for the truth of what is made up");
  command->add_option("--preset", options->disturbance.preset, "how bad the disturbance run is");
  command->add_option("--rate-Hz", options->disturbance.rate_Hz, "its samples a second");
  command->add_option("--seed", request.seed, "the same seed makes the same sensor")
      ->capture_default_str();
  command->add_option("--speed", request.speed, "times as fast, 0.1 to 1000")
      ->capture_default_str();
  command->add_option("--link-path", request.link_path,
                      "a name for the port that stays when it is unplugged");
  command->add_option("--unplug-after", request.unplug_after_s,
                      "seconds after which the cable is pulled, once");
  command->add_option("--unplug-for", request.unplug_for_s, "and for how long")
      ->capture_default_str();
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
