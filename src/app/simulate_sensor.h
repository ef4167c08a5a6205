// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth sensor simulate`.
struct SimulateRequest {
  std::string scenario = "demo";
  std::uint64_t seed = 1;
  std::string folder;  ///< made when it is not there
};

/// What was made. Paths as they were written.
struct SimulatedFiles {
  std::string log_path;
  std::optional<std::string> stations_path;  ///< only when the scenario has stations
  std::string truth_path;
  std::string title;  ///< the scenario in a sentence
  std::string aircraft;
  std::string at;  ///< LAT,LON as --at takes it
  std::string on;  ///< ISO date as --on takes it
  std::size_t samples = 0;
  std::string fit_command;  ///< what to type next
};

std::vector<std::string> simulate_scenarios();

/// Makes a recording with a known truth and writes FOLDER/log.csv, FOLDER/stations.csv (when the
/// scenario has stations) and FOLDER/truth.json (schema quietnorth/sensor-truth/1,
/// docs/formats/sensor-truth-json.md). The same request writes the same bytes.
///
/// errors  OutOfRange: no such scenario. Io: a file cannot be written; then none of them is left
Result<SimulatedFiles> simulate_sensor(const SimulateRequest& request);

}  // namespace qn
