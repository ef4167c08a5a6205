// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/page_canvas.h"
#include "vocab/band.h"
#include "vocab/verdict.h"

namespace qn {

/// One effect in degrees: solid from zero to the lower end of its band, hatched to the upper end.
struct HonestBar {
  std::string name;
  std::string why;  ///< small, under the name
  Band95 size_95;
  std::optional<Angle> estimate;        ///< a short upright, when there is a best estimate
  std::optional<VerdictState> verdict;  ///< none: drawn in ink, without a word
};

/// Bars under one another with one limit line through all of them. A bar more than twice as long as
/// the scale that shows the others is cut at the frame; its figures stand beside it.
/// returns  the height used
double honest_bars(PageCanvas& canvas, PagePoint at, double width_pt,
                   const std::vector<HonestBar>& bars, const std::optional<Limit>& limit);
double honest_bars_height(std::size_t rows);

}  // namespace qn
