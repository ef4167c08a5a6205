// SPDX-License-Identifier: Apache-2.0
#include "cli/command_book_files.h"

#include <fmt/format.h>

#include <memory>
#include <string>

#include "app/export_book.h"
#include "app/show_book.h"
#include "cli/book_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct CheckOptions {
  std::string path;
  bool json = false;
};

int check(const CheckOptions& options) {
  const auto checked = check_book(options.path);
  if (!checked) return print_error(checked.error());
  const int printed = print_answer(options.json ? to_json(checked.value()) + "\n"
                                                : book_check_text(checked.value()));
  if (printed != kExitDone) return printed;
  return checked.value().faults.empty() ? kExitDone : exit_code_for(ErrorKind::Corrupt);
}

void add_check(CLI::App& book, int& exit_code) {
  auto options = std::make_shared<CheckOptions>();
  CLI::App* command =
      book.add_subcommand("check", "whether every byte of the book is the one that was kept");
  command->add_option("BOOK", options->path, "the aircraft book")->required();
  command->add_flag("--json", options->json, "print one JSON document");
  command->callback([options, &exit_code] { exit_code = check(*options); });
}

struct FromTo {
  std::string from, to;
};

int copy(const FromTo& paths) {
  const auto book = Book::open_read_only(paths.from);
  if (!book) return print_error(book.error());
  for (const std::string& remark : book.value().remarks()) print_note(remark);
  const auto copied = book.value().copy_to(paths.to);
  if (!copied) return print_error(copied.error());
  return print_answer(paths.to + " is a copy of the book.\n");
}

int export_to(const FromTo& paths) {
  const auto book = Book::open_read_only(paths.from);
  if (!book) return print_error(book.error());
  for (const std::string& remark : book.value().remarks()) print_note(remark);
  const auto exported = export_book(book.value(), paths.to);
  if (!exported) return print_error(exported.error());
  return print_answer("The book is in the folder " + paths.to + ".\n");
}

int import_from(const FromTo& paths) {
  const auto imported = import_book(paths.from, paths.to);
  if (!imported) return print_error(imported.error());
  return print_answer(paths.to +
                      (imported.value().equal
                           ? " is equal to the book that was exported.\n"
                           : " is made of a folder that was changed since its export.\n"));
}

struct Verb {
  const char* name;
  const char* what;
  const char* from[2];
  const char* to[2];
  int (*run)(const FromTo&);
};

void add(CLI::App& book, int& exit_code, const Verb& verb) {
  auto paths = std::make_shared<FromTo>();
  CLI::App* command = book.add_subcommand(verb.name, verb.what);
  command->add_option(verb.from[0], paths->from, verb.from[1])->required();
  command->add_option(verb.to[0], paths->to, verb.to[1])->required();
  command->callback([paths, run = verb.run, &exit_code] { exit_code = run(*paths); });
}

}  // namespace

void add_book_files(CLI::App& book, int& exit_code) {
  add_check(book, exit_code);
  add(book, exit_code,
      {"copy",
       "a copy of the book, sound even while another program writes to it",
       {"BOOK", "the aircraft book"},
       {"COPY", "the file to make"},
       &copy});
  add(book, exit_code,
      {"export",
       "the book as a folder of CSV, JSON and raw files",
       {"BOOK", "the aircraft book"},
       {"FOLDER", "the folder to make"},
       &export_to});
  add(book, exit_code,
      {"import",
       "a book from such a folder",
       {"FOLDER", "the folder of `book export`"},
       {"BOOK", "the file to make: NAME.qnbook"},
       &import_from});
}

}  // namespace qn
