// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>

#include "procedure/disturbance_run.h"
#include "report/page_canvas.h"

namespace qn {

/// What the first sheet had no room for.
struct FirstPage {
  std::size_t device_bars = 0;  ///< that stand on it
  std::size_t together_bars = 0;
  std::size_t trace_axes = 0;
  bool lists_cut = false;
};

/// Everything of the first sheet between header and footer.
FirstPage disturbance_first_page(PageCanvas& canvas, PageBox room, const DisturbanceRun& run);

/// A run longer than this is shown in strips of about this length on a later sheet.
inline constexpr double kStrip_s = 480.0;

inline constexpr double kMostLimits = 10.0;  ///< of a bar; longer ones are cut
inline constexpr const char* kBarsCaption =
    "degrees at the worst heading · solid: at least · hatched: 95 % band · ○ repeats";

}  // namespace qn
