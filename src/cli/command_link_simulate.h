// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `quietnorth link simulate`.
void add_link_simulate(CLI::App& link, int& exit_code);

}  // namespace qn
