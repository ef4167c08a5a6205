// SPDX-License-Identifier: Apache-2.0
#include "app/solve_air.h"
#include "report/air_plan_sheet.h"
#include "report/air_sheet.h"

namespace qn {

Result<std::string> air_sheet(const AirDocument& document, SheetFormat format, Paper paper) {
  const AirSheet sheet{.air = document.air,
                       .legs = document.legs,
                       .stretches = document.stretches,
                       .how_read = document.how_read,
                       .tracks_magnetic = document.tracks_magnetic,
                       .headings_true = document.headings_true,
                       .variation_deg = document.variation_deg};
  const SheetContext context{.aircraft = document.aircraft,
                             .place = document.place,
                             .day = document.day,
                             .log_name = document.file_name,
                             .log_sha256 = document.file_sha256,
                             .program_version = document.program_version,
                             .letter = paper == Paper::letter};
  return format == SheetFormat::pdf ? air_sheet_pdf(sheet, context) : air_sheet_svg(sheet, context);
}

Result<std::string> air_plan_sheet(const AirPlanDocument& document, SheetFormat format,
                                   Paper paper) {
  SheetContext context;
  context.aircraft = document.request.aircraft;
  context.place = document.request.assumed.at.value_or("");
  context.day = document.request.assumed.on.value_or("");
  context.program_version = document.program_version;
  context.letter = paper == Paper::letter;
  const bool tracks_true = document.variation_deg.has_value();
  return format == SheetFormat::pdf ? air_plan_sheet_pdf(document.plan, tracks_true, context)
                                    : air_plan_sheet_svg(document.plan, tracks_true, context);
}

}  // namespace qn
