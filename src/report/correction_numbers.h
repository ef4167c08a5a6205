// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"

namespace qn {

/// The correction itself, as a table to copy from: matrix, offset with its 1 sigma, and the noise.
/// returns  the height used, always kCorrectionNumbers_pt
double correction_numbers(PageCanvas& canvas, const PageBox& box, const SensorFit& fit);
inline constexpr double kCorrectionNumbers_pt = 48.0;

}  // namespace qn
