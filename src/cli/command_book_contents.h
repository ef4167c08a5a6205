// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

namespace qn {

/// `book new|show|equipment|sensor|site`: what stands in a book.
void add_book_contents(CLI::App& book, int& exit_code);

}  // namespace qn
