// SPDX-License-Identifier: Apache-2.0
#include "cli/book_options.h"

namespace qn {

void add_book_options(CLI::App& command, BookOptions& options) {
  command.add_option("--book", options.book,
                     "keep files, options and answer as a finding in this aircraft book");
  command.add_option("--configuration", options.configuration,
                     "NAME=STATE of what stood how: engine=off, canopy=closed (may be repeated)");
}

}  // namespace qn
