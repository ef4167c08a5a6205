// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"

namespace qn {

/// Largest error after correction when the aircraft is tilted: bank downward, pitch across, where
/// the forecasts fill such a table; otherwise a list of the worst.
void forecast_table(PageCanvas& canvas, const PageBox& box,
                    const std::vector<AttitudeForecast>& forecast);

}  // namespace qn
