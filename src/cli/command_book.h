// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// `quietnorth book new|show|equipment|sensor|site|import|export|check|copy`.
void add_book_command(CLI::App& program, int& exit_code);

}  // namespace qn
