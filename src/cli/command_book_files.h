// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// `book check|copy|export|import`: the book as a file.
void add_book_files(CLI::App& book, int& exit_code);

}  // namespace qn
