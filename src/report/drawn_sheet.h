// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/result.h"

namespace qn {

/// The sheet with a record of what stands where on it. sensor_fit_sheet_pdf and _svg return its
/// bytes.
Result<PageRecord> draw_sensor_fit_sheet(const SensorFit& fit, const SheetContext& context,
                                         PageFormat format);

}  // namespace qn
