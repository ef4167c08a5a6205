// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `swing` with its commands.
void add_swing_command(CLI::App& program, int& exit_code);

}  // namespace qn
