// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace qn {

/// Adds `sensor fit`, `sensor apply` and `sensor simulate`.
void add_sensor_command(CLI::App& program, int& exit_code);

/// `sensor LOG ...` is short for `sensor fit LOG ...`: puts the missing word in. `words` are those
/// of the command line without the program's name.
std::vector<std::string> with_sensor_verb(std::vector<std::string> words);

}  // namespace qn
