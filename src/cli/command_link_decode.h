// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// Adds `quietnorth link decode`.
void add_link_decode(CLI::App& link, int& exit_code);

}  // namespace qn
