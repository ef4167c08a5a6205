// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `serve` to the program. When it was asked for, parsing runs it until it is ended and sets
/// `exit_code`.
void add_serve_command(CLI::App& program, int& exit_code);

}  // namespace qn
