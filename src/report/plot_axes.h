// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

#include "report/page_canvas.h"

namespace qn {

/// The inked part of a plot and what its sides stand for.
struct PlotArea {
  PageBox box;
  double x_min = 0.0, x_max = 1.0;
  double y_min = 0.0, y_max = 1.0;

  double x_pt(double x) const { return box.left + (x - x_min) / (x_max - x_min) * box.width(); }
  double y_pt(double y) const { return box.bottom - (y - y_min) / (y_max - y_min) * box.height(); }
  PagePoint at(double x, double y) const { return {x_pt(x), y_pt(y)}; }
};

inline constexpr double kEdge_pt = 3.6;          ///< height of a graduated edge
inline constexpr double kAxisWords_pt = 8.0;     ///< size of figures at an axis
inline constexpr double kHeadingAxis_pt = 15.5;  ///< edge and figures below a plot
TextStyle axis_words();
TextStyle strong_axis_words();

/// 1, 2 or 5 times a power of ten, so that `span` holds at most `most` steps.
double step_for(double span, double most);
/// How many decimals a step needs to be written.
int decimals_for(double step);

/// The chart border: filled and empty by turns, one length between neighbouring marks (pages x).
void graduated_edge(PageCanvas& canvas, double top, const std::vector<double>& marks_x_pt);

/// Weak lines at every step with figures on the left; `unit` follows each figure.
void y_grid(PageCanvas& canvas, const PlotArea& area, double step, std::string_view unit);

/// A graduated edge of 30 degree lengths below the plot, with N E S W at the quarters.
void heading_axis(PageCanvas& canvas, const PlotArea& area);

/// A graduated edge in seconds or minutes below the plot, whatever suits its length.
/// Its left end is called `starts_at_s`.
void time_axis(PageCanvas& canvas, const PlotArea& area, double starts_at_s = 0.0);

}  // namespace qn
