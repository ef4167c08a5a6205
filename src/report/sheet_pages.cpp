// SPDX-License-Identifier: Apache-2.0
#include "report/sheet_pages.h"

#include <exception>
#include <utility>

namespace qn {

Result<PageRecord> draw_numbered(
    const std::function<Result<PageRecord>(PageFormat, std::size_t)>& draw, PageFormat format) {
  return draw_once([&]() -> Result<PageRecord> {
    const auto counted = draw(PageFormat::pdf, 1);
    if (!counted) return counted.error();
    return draw(format, counted.value().pages);
  });
}

Result<PageRecord> draw_once(const std::function<Result<PageRecord>()>& draw) {
  try {
    return draw();
  } catch (const std::exception& trouble) {  // formatting or memory; ours throw nothing
    return Error{ErrorKind::Io, std::string{"the sheet could not be drawn: "} + trouble.what(),
                 "drawing the sheet", "memory for a few pages",
                 "free some memory and try again; the JSON holds the same numbers"};
  }
}

Result<std::string> bytes_of(Result<PageRecord> drawn) {
  if (!drawn) return drawn.error();
  return std::move(drawn.value().bytes);
}

}  // namespace qn
