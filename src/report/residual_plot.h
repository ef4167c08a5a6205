// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"

namespace qn {

/// What the fit leaves of each sample, in microtesla over time: a dot for a used one, an open ring
/// for one left out. A ring beyond the frame is cut there, with the largest value written.
void residual_plot(PageCanvas& canvas, const PageBox& box,
                   const std::vector<ResidualPoint>& points);

}  // namespace qn
