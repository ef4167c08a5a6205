// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/finding_book.h"
#include "cli/terminal.h"

namespace qn {

/// `--book FILE` and `--configuration`, the same words in every command that ends in a verdict.
struct BookOptions {
  std::optional<std::string> book;
  std::vector<std::string> configuration;
  Result<FindingBook> open() const { return FindingBook::open(book, configuration); }
};

/// The options write into `options`, which must outlive the parse.
void add_book_options(CLI::App& command, BookOptions& options);

/// Keeps the finding and says so on stderr, where it does not get into a document.
/// returns  kExitDone, or the exit code of what print_error has said
template <class Request, class Document>
int keep_finding(FindingBook& book, const Request& request, const Document& document) {
  const auto kept = book.keep(request, document);
  if (!kept) return print_error(kept.error());
  print_note(kept.value());
  return kExitDone;
}

}  // namespace qn
