// SPDX-License-Identifier: Apache-2.0
#include "cli/command_disturb_simulate.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <memory>
#include <string>

#include "app/simulate_disturbance.h"
#include "cli/folded_text.h"
#include "cli/place_options.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct Options {
  SimulateDisturbanceRequest request;
  PlaceOptions place;
  MeasuredFieldOptions measured;
};

std::string faults_sentence(const SimulatedDisturbanceFiles& files) {
  return fmt::format(
      "What went wrong in this run: {} marks more than 2 s off, {} steps skipped, {} done with "
      "another device, {} unplanned events, {:.1f} uT of warm-up drift. The truth says which.",
      files.late, files.skipped, files.substituted, files.unplanned, files.drift_uT);
}

int run(Options& options) {
  SimulateDisturbanceRequest& request = options.request;
  request.at = options.place.at;
  request.on = options.place.on;
  request.horizontal_uT = options.measured.horizontal_uT;
  request.vertical_uT = options.measured.vertical_uT;
  const auto made = simulate_disturbance(request);
  if (!made) return print_error(made.error());
  const SimulatedDisturbanceFiles& files = made.value();
  std::string text =
      folded(fmt::format("A disturbance run, preset {}, seed {}: {} devices, {} steps, {:.0f} min.",
                         request.preset, request.seed, files.devices, files.steps,
                         files.seconds / 60.0)) +
      "\n\n";
  text += fmt::format("  recording   {}  ({} samples)\n", files.log_path, files.samples);
  if (!files.heading_path.empty()) {
    text += fmt::format("  display     {}  (its heading only)\n", files.heading_path);
  }
  text += fmt::format("  marks       {}\n", files.marks_path);
  text += fmt::format("  equipment   {}\n", files.equipment_path);
  text += fmt::format("  the truth   {}\n\n", files.truth_path);
  text += folded(faults_sentence(files)) + "\n\n";
  text += fmt::format("To analyse it:\n  {}\n", files.analyse_command);
  return print_answer(text);
}

}  // namespace

void add_disturb_simulate(CLI::App& disturb, int& exit_code) {
  auto options = std::make_shared<Options>();
  SimulateDisturbanceRequest& request = options->request;
  CLI::App* command =
      disturb.add_subcommand("simulate", "a made-up run with a known truth, to try the program on");
  command->add_option("EQUIPMENT", request.equipment_path, "the equipment list, CSV")->required();
  command->add_option("--seed", request.seed, "the same seed makes the same files")
      ->capture_default_str();
  command
      ->add_option("--out", request.folder,
                   "folder for log.csv, marks.csv, equipment.csv and truth.json")
      ->required();
  command
      ->add_option(
          "--preset", request.preset,
          fmt::format("how bad it is: {}", fmt::join(simulate_disturbance_presets(), ", ")))
      ->capture_default_str();
  command
      ->add_option("--without", request.without_faults,
                   fmt::format("faults to leave out, with commas between: {}",
                               fmt::join(simulate_disturbance_faults(), ", ")))
      ->delimiter(',');
  command
      ->add_option("--with", request.with_faults,
                   "faults to put in, as large as in the preset hard; same names")
      ->delimiter(',');
  command->add_option("--rate-Hz", request.rate_Hz, "samples a second");
  command->add_option("--noise-uT", request.noise_uT, "white noise of one sample, 1 sigma");
  command->add_option("--aircraft-heading", request.aircraft_heading_deg,
                      "magnetic heading on which it stands, degrees");
  command->add_option("--passes", request.passes, "how often each state is worked");
  command->add_flag("--log-attitude", request.log_attitude, "roll and pitch in the log");
  command->add_flag("--log-current", request.log_current, "the battery current in the log");
  command->add_flag("--heading-log", request.heading_log,
                    "heading.csv too: what a display that shows degrees only would have shown");
  command->add_option("--display-step-deg", request.display_step_deg,
                      "what that display rounds to (0.1); 0: it does not");
  command->add_option("--display-lag-s", request.display_lag_s,
                      "its gyro holds it: a step comes slowly, with this time constant");
  command->add_option("--display-fade-s", request.display_fade_s,
                      "its gyro wins: a step fades, with this time constant");
  add_place_options(*command, options->place);
  add_measured_field_options(*command, options->measured);
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
