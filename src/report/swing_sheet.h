// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/swing_solve.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// A swing and what goes with it on paper.
struct SwingSheet {
  const SwingSolution& swing;
  std::vector<std::string> how_read = {};
  std::vector<std::string> before = {};    ///< what an adjustment did
  std::vector<std::string> loads = {};     ///< what each state of the loads does
  std::vector<std::string> boxes = {};     ///< corrections inside a sensor's own box
  std::vector<std::string> forecast = {};  ///< after a move, beside the compasses; or empty
};

/// The swing for the aircraft's file: each compass begins a page with its verdict and sentence,
/// then the curve with its band and the readings, what the curve leaves, the coefficients, what the
/// adjusters can do, and what to do next. As many pages as it takes.
///
/// returns  the bytes of a PDF or SVG file, the same bytes for the same input
/// errors   Io when the font (DejaVu Sans) is missing or drawing fails
Result<std::string> swing_sheet_pdf(const SwingSheet& sheet, const SheetContext& context);
Result<std::string> swing_sheet_svg(const SwingSheet& sheet, const SheetContext& context);

/// The sheet with a record of what stands where on it.
Result<PageRecord> draw_swing_sheet(const SwingSheet& sheet, const SheetContext& context,
                                    PageFormat format);

}  // namespace qn
