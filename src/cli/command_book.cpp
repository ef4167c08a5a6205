// SPDX-License-Identifier: Apache-2.0
#include "cli/command_book.h"

#include "cli/command_book_contents.h"
#include "cli/command_book_files.h"

namespace qn {

void add_book_command(CLI::App& program, int& exit_code) {
  CLI::App* book = program.add_subcommand(
      "book", "the aircraft book: one file that keeps all there is about one aircraft");
  book->require_subcommand(1);
  add_book_contents(*book, exit_code);
  add_book_files(*book, exit_code);
}

}  // namespace qn
