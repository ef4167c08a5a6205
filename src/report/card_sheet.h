// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/swing_card.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// Cards to cut out, and what they were made from.
struct CardSheet {
  const std::vector<CorrectionCard>& cards;
  const SwingSolution& swing;
  std::string engine, radio, by;  ///< empty: a line to write on
  double width_mm = 92.0;
  std::vector<std::string> how = {};  ///< sentences: how STEER was found, signs
};

/// One page for each card: the card at true size with cut marks, a bar of 50 mm to check the
/// printer, the deviation it comes from, and lines to sign.
///
/// returns  the bytes of a PDF or SVG file, the same bytes for the same input
/// errors   OutOfRange: a width outside 45 to 180 mm, or a card longer than the paper. Io when the
///          font (DejaVu Sans) is missing or drawing fails
Result<std::string> card_sheet_pdf(const CardSheet& sheet, const SheetContext& context);
Result<std::string> card_sheet_svg(const CardSheet& sheet, const SheetContext& context);

/// The sheet with a record of what stands where on it.
Result<PageRecord> draw_card_sheet(const CardSheet& sheet, const SheetContext& context,
                                   PageFormat format);

}  // namespace qn
