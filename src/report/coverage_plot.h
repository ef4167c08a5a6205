// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"

namespace qn {

/// The sphere of directions unrolled with equal areas: across, the way round from x over y; down,
/// from -z to +z in equal steps of the sine. A square grows with the number of samples (tenfold for
/// each step of its side), and paper shows the directions the field was never met from.
void coverage_plot(PageCanvas& canvas, const PageBox& box, const DirectionCoverage& coverage);

}  // namespace qn
