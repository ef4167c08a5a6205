// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"

namespace qn {

/// What the fit leaves, in microtesla over time: a bar from zero for a used sample, an open ring
/// for one left out. A ring beyond the frame is cut there, with the largest value written. A
/// thinned recording keeps the largest of each moment, so the bars are its outline, not its
/// density.
void residual_plot(PageCanvas& canvas, const PageBox& box,
                   const std::vector<ResidualPoint>& points);

}  // namespace qn
