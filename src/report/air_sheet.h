// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/air_check.h"
#include "procedure/air_plan.h"
#include "procedure/steady_legs.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// A check in the air and what goes with it on paper.
struct AirSheet {
  const AirSolution& air;
  const std::vector<AirLeg>& legs;  ///< as many as `air.legs`
  const std::vector<FlightStretch>& stretches;
  std::vector<std::string> how_read = {};
  bool tracks_magnetic = false;
  bool headings_true = false;                          ///< the display shows true headings
  std::optional<double> variation_deg = std::nullopt;  ///< the wind is from true north with it
};

/// The check in the air for the aircraft's file: verdict and sentence, velocities over the ground
/// with the wind's circle, coefficients, the curve with its band, every leg, why a stretch was not
/// used, what the flight cannot prove and which two legs would. As many pages as it takes.
///
/// returns  the bytes of a PDF or SVG file, the same bytes for the same input
/// errors   Io when the font (DejaVu Sans) is missing or drawing fails
Result<std::string> air_sheet_pdf(const AirSheet& sheet, const SheetContext& context);
Result<std::string> air_sheet_svg(const AirSheet& sheet, const SheetContext& context);

/// The sheet with a record of what stands where on it.
Result<PageRecord> draw_air_sheet(const AirSheet& sheet, const SheetContext& context,
                                  PageFormat format);

}  // namespace qn
