// SPDX-License-Identifier: Apache-2.0
#include "app/analyse_disturbance.h"
#include "report/disturbance_sheet.h"

namespace qn {

Result<std::string> disturbance_sheet(const DisturbanceDocument& document, SheetFormat format,
                                      Paper paper) {
  const Provenance& from = document.provenance;
  const SheetContext context{.aircraft = from.aircraft,
                             .place = from.place,
                             .day = from.day,
                             .log_name = from.log_name,
                             .log_sha256 = from.log_sha256,
                             .program_version = from.program_version,
                             .letter = paper == Paper::letter};
  return format == SheetFormat::pdf ? disturbance_sheet_pdf(document.run, context)
                                    : disturbance_sheet_svg(document.run, context);
}

}  // namespace qn
