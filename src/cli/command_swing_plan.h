// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// `quietnorth swing plan`.
void add_swing_plan(CLI::App& swing, int& exit_code);

}  // namespace qn
