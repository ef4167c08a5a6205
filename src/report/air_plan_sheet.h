// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/air_plan.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// The plan of a check in the air, to carry along and write on: cautions, the headings to fly with
/// boxes for what was seen, and what it will tell.
///
/// tracks_true  whether the tracks of the plan are from true north
/// returns      the bytes of a PDF or SVG file, the same bytes for the same input
/// errors       Io when the font (DejaVu Sans) is missing or drawing fails
Result<std::string> air_plan_sheet_pdf(const AirPlan& plan, bool tracks_true,
                                       const SheetContext& context);
Result<std::string> air_plan_sheet_svg(const AirPlan& plan, bool tracks_true,
                                       const SheetContext& context);

/// The sheet with a record of what stands where on it.
Result<PageRecord> draw_air_plan_sheet(const AirPlan& plan, bool tracks_true,
                                       const SheetContext& context, PageFormat format);

}  // namespace qn
