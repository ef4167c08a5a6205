// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `disturb` with its commands; each has a file of its own.
void add_disturb_command(CLI::App& program, int& exit_code);

}  // namespace qn
