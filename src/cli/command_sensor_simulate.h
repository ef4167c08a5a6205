// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `simulate` to the command `sensor`. When it was asked for, parsing runs it and sets
/// `exit_code`.
void add_sensor_simulate(CLI::App& sensor, int& exit_code);

}  // namespace qn
