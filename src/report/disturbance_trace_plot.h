// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "procedure/disturbance_run.h"
#include "report/page_canvas.h"

namespace qn {

/// A part of a recording, and which axes of it are shown.
struct TraceView {
  double from_s = 0.0, to_s = 0.0;
  std::vector<std::size_t> axes = {};  ///< 0, 1, 2: forward, right, down
  bool drift_removed = false;          ///< it would make the steps too small to see
};

/// The whole run with the axes that show something, at most `most_axes`. What turns a heading lies
/// along the ground, so the vertical axis is only shown where there is room for three.
TraceView whole_trace(const DisturbanceRun& run, std::size_t most_axes);
std::string trace_caption(const DisturbanceRun& run, const TraceView& view);

/// Field over time: data thin, fit thick over them, each device's on-time shaded with its number on
/// top, unexplained things in brackets with their letters, and what the fit leaves below.
void trace_plot(PageCanvas& canvas, const PageBox& box, const DisturbanceRun& run,
                const TraceView& view);

}  // namespace qn
