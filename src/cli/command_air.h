// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// `quietnorth air plan|solve|simulate`; writes the exit code when one of them has run.
void add_air_command(CLI::App& program, int& exit_code);

}  // namespace qn
