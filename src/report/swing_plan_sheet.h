// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/swing_plan.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// The plan of a swing to carry along: what to set, the cautions, and a line with boxes for each
/// stop. As many pages as it takes, under one another in an SVG.
///
/// returns  the bytes of a PDF or SVG file, the same bytes for the same input
/// errors   Io when the font (DejaVu Sans) is missing or drawing fails
Result<std::string> swing_plan_sheet_pdf(const SwingPlan& plan, const SheetContext& context);
Result<std::string> swing_plan_sheet_svg(const SwingPlan& plan, const SheetContext& context);

/// The sheet with a record of what stands where on it.
Result<PageRecord> draw_swing_plan_sheet(const SwingPlan& plan, const SheetContext& context,
                                         PageFormat format);

}  // namespace qn
