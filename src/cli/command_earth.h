// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `earth` to the program. When it was asked for, parsing runs it and sets `exit_code`.
void add_earth_command(CLI::App& program, int& exit_code);

}  // namespace qn
