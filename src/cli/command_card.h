// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `card`: FOR / STEER from a stations file.
void add_card_command(CLI::App& program, int& exit_code);

}  // namespace qn
