// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/disturbance_run.h"
#include "report/plot_axes.h"

namespace qn {

// What stands on a trace beside the curves. `area.box` holds all panels, x is time in seconds.

inline constexpr double kNumberLane_pt = 10.0;
inline constexpr double kBracketLane_pt = 12.0;

/// Shades over panels and lane, the devices' numbers in the lane that ends at the panels' top.
void on_times(PageCanvas& canvas, const PlotArea& area, const DisturbanceRun& run);

/// Brackets with letters in the lane that begins at `lane_top`.
void unexplained_brackets(PageCanvas& canvas, const PlotArea& area, double lane_top,
                          const std::vector<Unexplained>& things);

}  // namespace qn
