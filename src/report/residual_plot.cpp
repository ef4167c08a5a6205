// SPDX-License-Identifier: Apache-2.0
#include "report/residual_plot.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <string>

#include "report/figure_words.h"
#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kFiguresLeft_pt = 27.0;

bool is_finite(const ResidualPoint& p) {
  return std::isfinite(p.time_s) && std::isfinite(p.residual_uT);
}

bool is_beyond(const ResidualPoint& p, double half_uT) {
  return std::fabs(p.residual_uT) > half_uT;
}

/// Half the height of the plot: all used residuals, and room for a word where others lie beyond.
double half_range_uT(const std::vector<ResidualPoint>& points) {
  double largest = 0.0, largest_used = 0.0;
  for (const ResidualPoint& p : points) {
    largest = std::max(largest, std::fabs(p.residual_uT));
    if (p.used) largest_used = std::max(largest_used, std::fabs(p.residual_uT));
  }
  if (largest == 0.0) return 1.0;
  if (largest_used == 0.0 || largest <= 1.5 * largest_used) return 1.1 * largest;
  return 1.7 * largest_used;
}

void draw_left_out(PageCanvas& canvas, const PlotArea& area,
                   const std::vector<ResidualPoint>& points) {
  const Stroke rim{ink::kUnproven, kLine_pt, Dash::solid};
  const ResidualPoint* beyond = nullptr;
  for (const ResidualPoint& p : points) {
    if (p.used) continue;
    if (!is_beyond(p, area.y_max)) {
      canvas.ring(area.at(p.time_s, p.residual_uT), 1.5, rim, ink::kPaper);
      continue;
    }
    const PagePoint edge = area.at(p.time_s, p.residual_uT > 0.0 ? area.y_max : area.y_min);
    const double inward = p.residual_uT > 0.0 ? 3.0 : -3.0;
    canvas.line(edge, {edge.x, edge.y + inward}, {ink::kUnproven, kHair_pt, Dash::solid});
    if (beyond == nullptr || std::fabs(p.residual_uT) > std::fabs(beyond->residual_uT)) beyond = &p;
  }
  if (beyond == nullptr) return;
  TextStyle style = strong_axis_words();
  style.ink = ink::kUnproven;
  style.halo = true;
  const bool up = beyond->residual_uT > 0.0;
  const std::string words = "left out, up to " + number_words(beyond->residual_uT, 1) + " µT";
  const double half = canvas.label_width(words, style) / 2.0;
  const double x = std::clamp(area.x_pt(beyond->time_s), area.box.left + half + 2.0,
                              area.box.right - half - 2.0);
  canvas.label({x, up ? area.box.top + 11.0 : area.box.bottom - 5.0}, words, style, Anchor::middle);
}

}  // namespace

void residual_plot(PageCanvas& canvas, const PageBox& box,
                   const std::vector<ResidualPoint>& all_points) {
  std::vector<ResidualPoint> points;
  std::copy_if(all_points.begin(), all_points.end(), std::back_inserter(points), is_finite);
  if (points.empty()) return;
  PlotArea area{.box = {box.left + kFiguresLeft_pt, box.top + 4.0, box.right - 4.0,
                        box.bottom - kHeadingAxis_pt}};
  area.x_min = std::min(0.0, points.front().time_s);
  area.x_max = std::max(points.back().time_s, area.x_min + 1e-3);
  const double half = half_range_uT(points);
  area.y_min = -half;
  area.y_max = half;
  double step = step_for(2.0 * half, std::max(2.0, area.box.height() / 14.0));
  if (step > half) step = step_for(2.0 * half, 5.0);  // zero alone gives no scale
  y_grid(canvas, area, step, "");
  std::vector<PagePoint> used;
  for (const ResidualPoint& p : points) {
    if (p.used) used.push_back(area.at(p.time_s, p.residual_uT));
  }
  const double room = area.box.width() / static_cast<double>(points.size());
  canvas.needles(area.y_pt(0.0), used,
                 {ink::kSecondWords, std::clamp(0.6 * room, 0.2, 2.0), Dash::solid});
  draw_left_out(canvas, area, points);
  time_axis(canvas, area);
}

}  // namespace qn
