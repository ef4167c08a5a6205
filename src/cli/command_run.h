// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// `quietnorth run`: a live run led in the terminal.
void add_run_command(CLI::App& program, int& exit_code);

}  // namespace qn
