// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `quietnorth link`: sensors that speak now.
void add_link_command(CLI::App& program, int& exit_code);

}  // namespace qn
