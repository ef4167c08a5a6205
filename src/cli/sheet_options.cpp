// SPDX-License-Identifier: Apache-2.0
#include "cli/sheet_options.h"

#include <string_view>

namespace qn {

void add_sheet_options(CLI::App& command, SheetOptions& options) {
  command.add_option("--sheet", options.sheet, "write the sheet to FILE.pdf or FILE.svg");
  command.add_option("--paper", options.paper, "a4 or letter")
      ->check(CLI::IsMember({"a4", "letter"}));
}

Result<SheetFormat> sheet_format_of(const std::string& path) {
  const std::string_view name = path;
  if (name.ends_with(".pdf")) return SheetFormat::pdf;
  if (name.ends_with(".svg")) return SheetFormat::svg;
  return Error{ErrorKind::OutOfRange, "'" + path + "' does not say what kind of sheet to write",
               "option --sheet", "a file name that ends in .pdf or .svg",
               "for example --sheet plan.pdf"};
}

}  // namespace qn
