// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/disturbance_run.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// The first sheet is read on the hangar floor: sentence, bars, trace, curves, what to do. The
/// others hold the rest of the bars, the table, assumptions and remarks, and the trace of a long
/// run in strips. An SVG has them under one another.
///
/// returns  the bytes of a PDF or SVG file, the same bytes for the same input
/// errors   Io when the font (DejaVu Sans) is missing or drawing fails
Result<std::string> disturbance_sheet_pdf(const DisturbanceRun& run, const SheetContext& context);
Result<std::string> disturbance_sheet_svg(const DisturbanceRun& run, const SheetContext& context);

/// The sheets with a record of what stands where on them.
Result<PageRecord> draw_disturbance_sheet(const DisturbanceRun& run, const SheetContext& context,
                                          PageFormat format);

}  // namespace qn
