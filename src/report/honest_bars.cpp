// SPDX-License-Identifier: Apache-2.0
#include "report/honest_bars.h"

#include <algorithm>
#include <cmath>

#include "report/figure_words.h"
#include "report/plot_axes.h"
#include "report/verdict_mark.h"

namespace qn {
namespace {

constexpr double kRuler_pt = 27.0;
constexpr double kNumber_pt = 17.0;  // room of a circled number

struct Columns {
  double name_left, bar_left, bar_right, figure_right, band_left, verdict_left, right;
};

Columns columns_for(double left, double width_pt) {
  const double right = left + width_pt;
  return {.name_left = left,
          .bar_left = left + 0.255 * width_pt,
          .bar_right = right - 190.0,
          .figure_right = right - 147.0,
          .band_left = right - 142.0,
          .verdict_left = right - 74.0,
          .right = right};
}

double finite_or_zero(double value) { return std::isfinite(value) ? value : 0.0; }

/// The scale that shows the limit and every judged bar; what is far longer is cut.
double scale_end_deg(const std::vector<HonestBar>& bars, const std::optional<Limit>& limit,
                     double most_limits) {
  double judged = limit ? 1.25 * finite_or_zero(limit->value.in_deg()) : 0.0;
  double longest = judged;
  for (const HonestBar& bar : bars) {
    const double end = 1.04 * finite_or_zero(bar.size_95.hi.in_deg());
    longest = std::max(longest, end);
    if (bar.verdict) judged = std::max(judged, end);
  }
  constexpr double kFarLonger = 8.0;  // beyond this the judged bar would be too short to read
  const bool cut = judged > 0.0 && longest > kFarLonger * judged;
  double end = std::max(cut ? 2.5 * judged : longest, 0.1);
  if (limit && most_limits > 0.0 && limit->value.in_deg() > 0.0) {
    end = std::min(end, most_limits * limit->value.in_deg());
  }
  const double step = step_for(end, 6.0);
  return std::ceil(end / step - 1e-9) * step;
}

void ruler(PageCanvas& canvas, const PlotArea& area, double top,
           const std::optional<Limit>& limit) {
  const double step = step_for(area.x_max, 6.0);
  const double edge_top = top + kRuler_pt - kEdge_pt - 1.0;
  const double limit_deg = limit ? limit->value.in_deg() : -1.0;
  std::vector<double> marks;
  for (double k = 0.0; k * step <= area.x_max * (1.0 + 1e-9); k += 1.0) {
    const double x = area.x_pt(k * step);
    marks.push_back(x);
    canvas.line({x, edge_top + kEdge_pt}, {x, area.box.bottom},
                {ink::kGrid, kHair_pt, Dash::solid});
    // The limit line would run through a figure that stands on it.
    if (limit && std::fabs(x - area.x_pt(limit_deg)) < 9.0) continue;
    canvas.label({x, edge_top - 3.0}, number_words(k * step, decimals_for(step)) + "°",
                 axis_words(), Anchor::middle);
  }
  graduated_edge(canvas, edge_top, marks);
}

void limit_line(PageCanvas& canvas, const PlotArea& area, double top, const Limit& limit,
                double left, double right) {
  const double x = area.x_pt(limit.value.in_deg());
  canvas.line({x, top + 10.5}, {x, area.box.bottom}, {ink::kWords, kInkLine_pt, Dash::solid});
  std::string words = "limit " + limit_words(limit.value);
  if (!limit.basis.empty()) words += " · " + limit.basis;
  const double half = std::min(canvas.label_width(words, strong_axis_words()), right - left) / 2.0;
  const double middle = std::clamp(x, left + half, right - half);
  canvas.label({middle, top + 8.0}, words, strong_axis_words(), Anchor::middle, 2.0 * half + 0.5);
}

void cut_end(PageCanvas& canvas, const PageBox& bar) {
  // Two slanted strokes of paper: the bar goes on beyond the frame.
  for (const double back : {6.0, 11.0}) {
    canvas.line({bar.right - back - 2.0, bar.bottom + 1.5}, {bar.right - back + 2.0, bar.top - 1.5},
                {ink::kPaper, 1.8, Dash::solid});
  }
}

void draw_repeats(PageCanvas& canvas, const PlotArea& area, double y, const HonestBar& bar) {
  for (const Angle& repeat : bar.repeats) {
    const double deg = repeat.in_deg();
    if (!std::isfinite(deg) || deg < 0.0 || deg > area.x_max) continue;
    canvas.ring({area.x_pt(deg), y}, 1.9, {ink::kWords, kLine_pt, Dash::solid}, ink::kPaper);
  }
}

/// `height_pt` is that of its row.
void draw_bar(PageCanvas& canvas, const PlotArea& area, double middle_y, double height_pt,
              const HonestBar& bar) {
  const double thick = std::min(9.0, 0.42 * height_pt);
  const double over = std::min(3.0, 0.14 * height_pt);  // of the upright, beyond the bar
  const VerdictLook look = bar.verdict
                               ? look_of(*bar.verdict)
                               : VerdictLook{ink::kSecondWords, ink::kBeforeFill, Hatch::slanted};
  const double lo = std::max(0.0, finite_or_zero(bar.size_95.lo.in_deg()));
  const double hi = std::max(lo, finite_or_zero(bar.size_95.hi.in_deg()));
  const double sure_end = area.x_pt(std::min(lo, area.x_max));
  const double end = area.x_pt(std::min(hi, area.x_max));
  const double top = middle_y - thick / 2.0, bottom = middle_y + thick / 2.0;
  canvas.hatch({sure_end, top, end, bottom}, look.hatch, look.ink, look.pale);
  if (sure_end > area.box.left) canvas.fill({area.box.left, top, sure_end, bottom}, look.ink);
  if (bar.estimate && bar.estimate->in_deg() <= area.x_max) {
    const double x = area.x_pt(std::max(0.0, finite_or_zero(bar.estimate->in_deg())));
    canvas.fill({x - 2.0, top - over - 0.4, x + 2.0, bottom + over + 0.4}, ink::kPaper);
    canvas.fill({x - 1.3, top - over, x + 1.3, bottom + over}, ink::kWords);
  }
  if (hi > area.x_max) cut_end(canvas, {area.box.left, top, area.box.right, bottom});
  draw_repeats(canvas, area, bottom + 2.2, bar);
}

void draw_name(PageCanvas& canvas, const Columns& columns, double middle_y, const HonestBar& bar,
               bool compact) {
  double left = columns.name_left;
  if (!bar.number.empty()) {
    const double radius = compact ? 5.6 : 6.4;
    const PagePoint centre{left + 6.6, compact ? middle_y : middle_y - 3.6};
    canvas.ring(centre, radius, {ink::kWords, kHair_pt, Dash::solid}, ink::kPaper);
    canvas.label({centre.x, centre.y + 2.6}, bar.number, {.size_pt = 7.2, .bold = true},
                 Anchor::middle);
    left += kNumber_pt;
  }
  const double width = columns.bar_left - left - 6.0;
  const TextStyle strong{.size_pt = compact ? 9.0 : 9.5, .bold = true};
  if (compact) {
    canvas.label({left, middle_y + 3.3}, bar.name, strong, Anchor::left, width);
    return;
  }
  canvas.label({left, middle_y - 1.2}, bar.name, strong, Anchor::left, width);
  canvas.label({left, middle_y + 8.2}, bar.why, axis_words(), Anchor::left, width);
}

void draw_words(PageCanvas& canvas, const Columns& columns, double middle_y, const HonestBar& bar) {
  const std::string band = band_words(bar.size_95);
  if (bar.estimate) {
    canvas.label({columns.figure_right, middle_y + 3.8}, degree_words(*bar.estimate),
                 {.size_pt = 10.5, .bold = true}, Anchor::right);
    canvas.label({columns.band_left, middle_y + 3.6}, band, axis_words(), Anchor::left,
                 columns.verdict_left - columns.band_left - 3.0);
  } else {
    canvas.label({columns.verdict_left - 12.0, middle_y + 3.8}, band + "°",
                 {.size_pt = 10.5, .bold = true}, Anchor::right);
  }
  if (bar.verdict) verdict_mark(canvas, {columns.verdict_left, middle_y + 3.6}, *bar.verdict, 9.5);
}

}  // namespace

double honest_bars_height(std::size_t count, const BarRows& rows) {
  return kRuler_pt + rows.row_pt() * static_cast<double>(count);
}

double honest_bars(PageCanvas& canvas, PagePoint at, double width_pt,
                   const std::vector<HonestBar>& bars, const std::optional<Limit>& limit,
                   const BarRows& rows) {
  const Columns columns = columns_for(at.x, width_pt);
  const double row = rows.row_pt();
  const double bottom = at.y + honest_bars_height(bars.size(), rows);
  const PlotArea area{.box = {columns.bar_left, at.y + kRuler_pt, columns.bar_right, bottom},
                      .x_min = 0.0,
                      .x_max = scale_end_deg(bars, limit, rows.most_limits)};
  ruler(canvas, area, at.y, limit);
  for (std::size_t i = 0; i < bars.size(); ++i) {
    const double top = area.box.top + row * static_cast<double>(i);
    const double middle_y = top + row / 2.0;
    // A circle under the bar needs its room within the row.
    draw_bar(canvas, area, bars[i].repeats.empty() ? middle_y : middle_y - 1.6, row, bars[i]);
    draw_name(canvas, columns, middle_y, bars[i], rows.compact);
    draw_words(canvas, columns, middle_y, bars[i]);
    const bool last_of_group = rows.second_group > 0 && i + 1 == rows.second_group;
    canvas.line({columns.name_left, top + row}, {columns.right, top + row},
                {last_of_group ? ink::kWords : ink::kRule, kHair_pt, Dash::solid});
  }
  if (limit) limit_line(canvas, area, at.y, *limit, columns.bar_left, columns.right);
  return bottom - at.y;
}

}  // namespace qn
