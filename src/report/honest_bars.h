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
  std::string number = {};              ///< in a circle before the name
  std::vector<Angle> repeats = {};      ///< a circle under the bar for each
};

struct BarRows {
  bool compact = false;  ///< one line a row: `why` is left out
  /// The scale ends at so many times the limit and longer bars are cut, so that a huge one does not
  /// make all others points. 0: the judged bar that is longest sets the scale.
  double most_limits = 0.0;
  std::size_t second_group = 0;  ///< a line in ink above this row; 0: none
  double row_pt() const { return compact ? 14.0 : 24.0; }
};

/// Bars under one another with one limit line through all of them. A bar more than twice as long as
/// the scale that shows the others is cut at the frame; its figures stand beside it.
/// returns  the height used
double honest_bars(PageCanvas& canvas, PagePoint at, double width_pt,
                   const std::vector<HonestBar>& bars, const std::optional<Limit>& limit,
                   const BarRows& rows = {});
double honest_bars_height(std::size_t count, const BarRows& rows = {});

}  // namespace qn
