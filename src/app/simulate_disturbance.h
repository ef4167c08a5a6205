// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth disturb simulate`.
struct SimulateDisturbanceRequest {
  std::string equipment_path;
  std::uint64_t seed = 1;
  std::string folder;  ///< made when it is not there
  std::string preset = "ordinary";
  std::vector<std::string> without_faults, with_faults;  ///< `with` is applied last
  std::optional<double> rate_Hz, noise_uT, aircraft_heading_deg;
  std::optional<std::size_t> passes;
  bool log_attitude = false;
  bool log_current = false;
  bool heading_log = false;                             ///< heading.csv too: what a display showed
  std::optional<double> display_step_deg;               ///< 0.1 when not given
  std::optional<double> display_lag_s, display_fade_s;  ///< of a blended display; not both
  std::optional<std::string> at, on;                    ///< as typed; neither: the measured pair
  std::optional<double> horizontal_uT, vertical_uT;     ///< neither: 20 and 45
};

/// What was made. Paths as they were written.
struct SimulatedDisturbanceFiles {
  std::string log_path, marks_path, equipment_path, truth_path;
  std::size_t devices = 0, steps = 0, samples = 0;
  double seconds = 0.0;
  std::size_t skipped = 0;      ///< steps marked but not done
  std::size_t substituted = 0;  ///< steps at which another device was worked
  std::size_t late = 0;         ///< marks more than 2 s from their switch
  std::size_t unplanned = 0;    ///< trains, steps and pulses
  double drift_uT = 0.0;        ///< of the warm-up, from start to end
  std::string analyse_command;  ///< what to type next
  std::string heading_path;     ///< empty without heading_log
};

std::vector<std::string> simulate_disturbance_presets();
std::vector<std::string> simulate_disturbance_faults();

/// Makes a disturbance run with a known truth and writes FOLDER/log.csv, marks.csv, equipment.csv
/// and truth.json, with heading_log also heading.csv (schema quietnorth/disturbance-truth/1,
/// docs/formats/disturbance-truth-json.md). The same request writes the same bytes.
///
/// errors  OutOfRange: no such preset or fault, a rate or noise that cannot be. BadInput: the
///         equipment list. Io: a file cannot be written; then none of them is left
Result<SimulatedDisturbanceFiles> simulate_disturbance(const SimulateDisturbanceRequest& request);

}  // namespace qn
