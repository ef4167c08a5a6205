// SPDX-License-Identifier: Apache-2.0
#include "report/coverage_plot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <vector>

#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kFiguresLeft_pt = 20.0;

/// Share of a cell's side, by tenfolds: 1 sample 0.35, the fullest cell 1.
double side_share(std::size_t count, std::size_t fullest) {
  if (count == 0) return 0.0;
  if (fullest <= 1) return 1.0;
  constexpr double kLeast = 0.35;
  const double share =
      std::log(static_cast<double>(count)) / std::log(static_cast<double>(fullest));
  return kLeast + (1.0 - kLeast) * share;
}

void draw_cells(PageCanvas& canvas, const PageBox& plot, const DirectionCoverage& coverage) {
  const double wide = plot.width() / static_cast<double>(DirectionCoverage::kColumns);
  const double high = plot.height() / static_cast<double>(DirectionCoverage::kRows);
  const std::size_t fullest = *std::max_element(coverage.counts.begin(), coverage.counts.end());
  for (std::size_t row = 0; row < DirectionCoverage::kRows; ++row) {
    for (std::size_t column = 0; column < DirectionCoverage::kColumns; ++column) {
      const std::size_t count = coverage.counts[row * DirectionCoverage::kColumns + column];
      if (count == 0) continue;
      const double share = side_share(count, fullest);
      const double x = plot.left + (static_cast<double>(column) + 0.5) * wide;
      const double y = plot.top + (static_cast<double>(row) + 0.5) * high;
      const double dx = 0.46 * share * wide, dy = 0.46 * share * high;
      canvas.fill({x - dx, y - dy, x + dx, y + dy}, ink::kSecondWords);
    }
  }
}

void draw_grid(PageCanvas& canvas, const PageBox& plot) {
  const Stroke grid{ink::kGrid, 0.35, Dash::solid};
  for (std::size_t column = 1; column < DirectionCoverage::kColumns; ++column) {
    const double x = plot.left + plot.width() * static_cast<double>(column) /
                                     static_cast<double>(DirectionCoverage::kColumns);
    canvas.line({x, plot.top}, {x, plot.bottom}, grid);
  }
  for (std::size_t row = 1; row < DirectionCoverage::kRows; ++row) {
    const double y = plot.top + plot.height() * static_cast<double>(row) /
                                    static_cast<double>(DirectionCoverage::kRows);
    canvas.line({plot.left, y}, {plot.right, y}, grid);
  }
  canvas.frame(plot, {ink::kOutline, kHair_pt, Dash::solid});
}

}  // namespace

void coverage_plot(PageCanvas& canvas, const PageBox& box, const DirectionCoverage& coverage) {
  const PageBox plot{box.left + kFiguresLeft_pt, box.top + 4.0, box.right - 6.0,
                     box.bottom - kHeadingAxis_pt};
  draw_grid(canvas, plot);
  draw_cells(canvas, plot, coverage);

  static constexpr std::array<std::string_view, 3> kHeights = {"\u2212z", "0", "+z"};
  for (std::size_t i = 0; i < kHeights.size(); ++i) {
    const double y = plot.top + plot.height() * static_cast<double>(i) / 2.0;
    if (i == 1) {
      canvas.line({plot.left - 3.0, y}, {plot.left, y}, {ink::kOutline, kHair_pt, Dash::solid});
    }
    const double baseline = i == 0 ? y + 7.0 : i == 1 ? y + 2.9 : y - 0.8;
    canvas.label({plot.left - 4.0, baseline}, kHeights[i], axis_words(), Anchor::right);
  }
  std::vector<double> marks;
  for (int i = 0; i <= 12; ++i) marks.push_back(plot.left + plot.width() * i / 12.0);
  const double top = plot.bottom + 1.6;
  graduated_edge(canvas, top, marks);
  static constexpr std::array<std::string_view, 5> kAround = {"+x", "+y", "\u2212x", "\u2212y",
                                                              "+x"};
  for (std::size_t i = 0; i < kAround.size(); ++i) {
    const double x = plot.left + plot.width() * static_cast<double>(i) / 4.0;
    canvas.label({x, top + kEdge_pt + 9.6}, kAround[i], strong_axis_words(), Anchor::middle);
  }
}

}  // namespace qn
