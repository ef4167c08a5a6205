// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `analyse` to the command `disturb`. When it was asked for, parsing runs it and sets
/// `exit_code`.
void add_disturb_analyse(CLI::App& disturb, int& exit_code);

}  // namespace qn
