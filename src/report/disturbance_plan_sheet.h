// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/disturbance_plan.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// The plan of a disturbance run to carry along: one line a step, 13 pt or more, with boxes for the
/// actual times and the caution framed before the steps it is for. As many pages as it takes, under
/// one another in an SVG.
///
/// context  log_name and log_sha256 are those of the equipment list
/// returns  the bytes of a PDF or SVG file, the same bytes for the same input
/// errors   Io when the font (DejaVu Sans) is missing or drawing fails
Result<std::string> disturbance_plan_sheet_pdf(const DisturbancePlan& plan,
                                               const SheetContext& context);
Result<std::string> disturbance_plan_sheet_svg(const DisturbancePlan& plan,
                                               const SheetContext& context);

/// The sheet with a record of what stands where on it.
Result<PageRecord> draw_disturbance_plan_sheet(const DisturbancePlan& plan,
                                               const SheetContext& context, PageFormat format);

}  // namespace qn
