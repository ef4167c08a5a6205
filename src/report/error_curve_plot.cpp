// SPDX-License-Identifier: Apache-2.0
#include "report/error_curve_plot.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "report/figure_words.h"
#include "report/label_room.h"
#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kFiguresLeft_pt = 27.0;
constexpr double kPanelGap_pt = 15.0;
constexpr double kRing_pt = 2.0;

struct Span {
  double lo = 0.0, hi = 0.0;  // zero is always shown
  void hold(double value) {
    if (!std::isfinite(value)) return;
    lo = std::min(lo, value);
    hi = std::max(hi, value);
  }
  double largest() const { return std::max(-lo, hi); }
};

struct Shows {
  bool before = false, after = false;
};

/// The curve over a whole turn, in parts: broken where it is no number and where it passes 180.
template <class Value>
Lines lines_of(const std::vector<HeadingErrorPoint>& points, const PlotArea& area, Value value) {
  Lines lines(1);
  double last = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t i = 0; i <= points.size(); ++i) {
    const double heading =
        i < points.size() ? points[i].heading_deg : points[0].heading_deg + 360.0;
    const double y = value(points[i % points.size()]);
    const bool broken = !std::isfinite(y) || std::fabs(y - last) > 180.0;
    if (broken && !lines.back().empty()) lines.emplace_back();
    if (std::isfinite(y)) lines.back().push_back(area.at(heading, y));
    last = y;
  }
  return lines;
}

double before_of(const HeadingErrorPoint& p) { return p.before_deg; }
double after_lo(const HeadingErrorPoint& p) { return p.after_95.lo.in_deg(); }
double after_hi(const HeadingErrorPoint& p) { return p.after_95.hi.in_deg(); }
double before_lo(const HeadingErrorPoint& p) { return p.before_95.lo.in_deg(); }
double before_hi(const HeadingErrorPoint& p) { return p.before_95.hi.in_deg(); }

void fill_between(PageCanvas& canvas, const Lines& low, const Lines& high, Ink ink) {
  if (low.size() != high.size()) return;  // broken at different headings: no honest fill
  for (std::size_t i = 0; i < low.size(); ++i) {
    std::vector<PagePoint> outline = low[i];
    outline.insert(outline.end(), high[i].rbegin(), high[i].rend());
    canvas.polygon(outline, ink);
  }
}

void draw_lines(PageCanvas& canvas, const Lines& lines, const Stroke& stroke) {
  for (const auto& line : lines) canvas.polyline(line, stroke);
}

/// Fills first, so that no band hides a line.
void draw_curves(PageCanvas& canvas, const PlotArea& area, const ErrorCurves& curves, Shows shows) {
  const Lines low = lines_of(curves.points, area, after_lo);
  const Lines high = lines_of(curves.points, area, after_hi);
  if (shows.before) {
    fill_between(canvas, lines_of(curves.points, area, before_lo),
                 lines_of(curves.points, area, before_hi), ink::kBeforeFill);
  }
  if (shows.after) {
    fill_between(canvas, low, high, ink::kFitFill);
    for (const Lines* edge : {&low, &high}) {
      draw_lines(canvas, *edge, {ink::kFit, kInkLine_pt, Dash::solid});
    }
  }
  if (shows.before) {
    draw_lines(canvas, lines_of(curves.points, area, before_of),
               {ink::kSecondWords, kInkLine_pt, Dash::dashed});
  }
}

void draw_stations(PageCanvas& canvas, const PlotArea& area,
                   const std::vector<StationMatch>& stations) {
  for (const StationMatch& station : stations) {
    if (!station.residual_deg || !std::isfinite(*station.residual_deg)) continue;
    canvas.ring(area.at(station.station_deg, *station.residual_deg), kRing_pt,
                {ink::kWords, kLine_pt, Dash::solid}, ink::kPaper);
  }
}

void draw_limit(PageCanvas& canvas, const PlotArea& area, const std::optional<Limit>& limit) {
  if (!limit) return;
  for (const double y : {limit->value.in_deg(), -limit->value.in_deg()}) {
    canvas.line(area.at(0.0, y), area.at(360.0, y), {ink::kWords, kInkLine_pt, Dash::solid});
  }
}

PageBox ring_of(PagePoint p) {
  return {p.x - kRing_pt, p.y - kRing_pt, p.x + kRing_pt, p.y + kRing_pt};
}

struct Panel {
  PlotArea area;
  double step_deg = 1.0;
};

Panel panel(const PageBox& box, const Span& span) {
  const double range = std::max(span.hi - span.lo, 0.1);
  constexpr double kAir = 0.07;
  Panel panel{.area = {.box = box,
                       .x_min = 0.0,
                       .x_max = 360.0,
                       .y_min = span.lo - kAir * range,
                       .y_max = span.hi + kAir * range}};
  const double most = std::max(2.0, box.height() / 15.0);
  panel.step_deg = step_for(range, most);
  // Zero alone gives no scale.
  if (panel.step_deg > span.largest()) panel.step_deg = step_for(range, 2.0 * most);
  return panel;
}

Lines level_line(const PlotArea& area, double error_deg) {
  Lines line(1);
  for (int heading = 0; heading <= 360; heading += 5) {
    line[0].push_back(area.at(heading, error_deg));
  }
  return line;
}

/// A line within the band after, where a name would be taken for the band's.
Lines inside_band(const ErrorCurves& curves, const PlotArea& area, double share) {
  return lines_of(curves.points, area, [share](const HeadingErrorPoint& p) {
    return (1.0 - share) * after_lo(p) + share * after_hi(p);
  });
}

void name_curves(PageCanvas& canvas, const PlotArea& area, const ErrorCurves& curves, Shows shows) {
  LabelRoom room{canvas, area.box};
  const Lines before = lines_of(curves.points, area, before_of);
  Lines after = lines_of(curves.points, area, after_lo);
  const Lines after_high = lines_of(curves.points, area, after_hi);
  after.insert(after.end(), after_high.begin(), after_high.end());
  if (shows.before) room.avoid(before);
  if (shows.after) {
    room.avoid(after);
    for (const StationMatch& station : curves.stations) {
      if (!station.residual_deg) continue;
      room.avoid(ring_of(area.at(station.station_deg, *station.residual_deg)));
    }
    if (curves.limit) {
      room.avoid(level_line(area, curves.limit->value.in_deg()));
      room.avoid(level_line(area, -curves.limit->value.in_deg()));
    }
    room.name("after, 95 % band", ink::kFit, after);
    if (curves.limit) {
      for (const double share : {0.2, 0.4, 0.6, 0.8}) room.avoid(inside_band(curves, area, share));
      room.name("limit " + limit_words(curves.limit->value), ink::kWords,
                level_line(area, curves.limit->value.in_deg()));
    }
  }
  if (shows.before) room.name("before", ink::kSecondWords, before);
}

/// A panel of the band alone: its name stands above it, the limit's close above its own line.
void name_band(PageCanvas& canvas, const PlotArea& area, const ErrorCurves& curves) {
  TextStyle style = strong_axis_words();
  style.halo = true;
  if (curves.limit) {
    const double y = area.y_pt(curves.limit->value.in_deg());
    canvas.label({area.box.right - 3.0, y - 2.6}, "limit " + limit_words(curves.limit->value),
                 style, Anchor::right);
  }
  style.ink = ink::kFit;
  canvas.label({area.box.left, area.box.top - 3.0}, "after, 95 % band", style);
}

void draw_panel(PageCanvas& canvas, const PageBox& box, const Span& span, Shows shows,
                const ErrorCurves& curves) {
  const auto [area, step_deg] = panel(box, span);
  y_grid(canvas, area, step_deg, "°");
  canvas.enter_clip({box.left - 3.0, box.top - 3.0, box.right + 3.0, box.bottom + 3.0});
  draw_curves(canvas, area, curves, shows);
  if (shows.after) {
    draw_limit(canvas, area, curves.limit);
    draw_stations(canvas, area, curves.stations);
  }
  canvas.leave_clip();

  if (shows.before) {
    name_curves(canvas, area, curves, shows);
  } else {
    name_band(canvas, area, curves);
  }
}

}  // namespace

void error_curve_plot(PageCanvas& canvas, const PageBox& box, const ErrorCurves& curves) {
  if (curves.points.empty()) return;
  Span before, after;
  for (const HeadingErrorPoint& p : curves.points) {
    for (const double y : {before_of(p), before_lo(p), before_hi(p)}) before.hold(y);
    for (const double y : {after_lo(p), after_hi(p)}) after.hold(y);
  }
  for (const StationMatch& station : curves.stations) {
    if (station.residual_deg) after.hold(*station.residual_deg);
  }
  if (curves.limit) {
    after.hold(1.5 * curves.limit->value.in_deg());
    after.hold(-1.5 * curves.limit->value.in_deg());
  }
  PageBox plot{box.left + kFiguresLeft_pt, box.top + 4.0, box.right - 4.0,
               box.bottom - kHeadingAxis_pt};
  constexpr double kTooFlat = 7.0;
  if (before.largest() > kTooFlat * after.largest()) {
    PageBox upper = plot;
    upper.bottom = plot.top + 0.42 * (plot.height() - kPanelGap_pt);
    PageBox lower = plot;
    lower.top = upper.bottom + kPanelGap_pt;
    draw_panel(canvas, upper, before, {.before = true}, curves);
    draw_panel(canvas, lower, after, {.after = true}, curves);
  } else {
    Span both = before;
    both.hold(after.lo);
    both.hold(after.hi);
    draw_panel(canvas, plot, both, {.before = true, .after = true}, curves);
  }
  heading_axis(canvas, {.box = plot, .x_min = 0.0, .x_max = 360.0});
}

}  // namespace qn
