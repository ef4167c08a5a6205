// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/swing_plan.h"
#include "report/page_canvas.h"

namespace qn {

inline constexpr double kSwingStopHeads_pt = 26.0;

/// Names over the boxes.
void swing_stop_heads(PageCanvas& canvas, const PageBox& box);
double swing_stop_height(PageCanvas& canvas, double width_pt, const SwingStop& stop);
/// Number, heading and turn of one stop, with boxes to write what was read. `box` has the height
/// that swing_stop_height gave.
void swing_stop_row(PageCanvas& canvas, const PageBox& box, const SwingStop& stop);

}  // namespace qn
