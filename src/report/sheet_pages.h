// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <string>

#include "report/page_canvas.h"
#include "vocab/result.h"

namespace qn {

/// Draws a sheet that says on each page how many there are.
///
/// draw    for a format and a number of pages; called twice, as the number is known when they are
///         drawn and takes no other room
/// errors  those of `draw`; Io when it runs out of memory
Result<PageRecord> draw_numbered(
    const std::function<Result<PageRecord>(PageFormat, std::size_t)>& draw, PageFormat format);

/// The same for a sheet that is drawn in one go.
Result<PageRecord> draw_once(const std::function<Result<PageRecord>()>& draw);

/// The file of a drawn sheet.
Result<std::string> bytes_of(Result<PageRecord> drawn);

}  // namespace qn
