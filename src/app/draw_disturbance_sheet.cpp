// SPDX-License-Identifier: Apache-2.0
#include "app/analyse_disturbance.h"
#include "app/sheet_context_internal.h"
#include "report/disturbance_sheet.h"

namespace qn {

Result<std::string> disturbance_sheet(const DisturbanceDocument& document, SheetFormat format,
                                      Paper paper) {
  const SheetContext context = sheet_context(document.provenance, paper);
  return format == SheetFormat::pdf ? disturbance_sheet_pdf(document.run, context)
                                    : disturbance_sheet_svg(document.run, context);
}

}  // namespace qn
