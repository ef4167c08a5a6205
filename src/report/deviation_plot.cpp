// SPDX-License-Identifier: Apache-2.0
#include "report/deviation_plot.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "report/figure_words.h"
#include "report/label_room.h"
#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kFiguresLeft_pt = 27.0;
constexpr double kReading_pt = 2.3, kDot_pt = 1.3, kDoubt_pt = 4.6;
// A limit further away than so many times what is to be seen would press it flat.
constexpr double kFarLimit = 4.0;

PlotArea heading_area(const PageBox& box) {
  PlotArea area;
  area.box = {box.left + kFiguresLeft_pt, box.top + 4.0, box.right - 4.0,
              box.bottom - kHeadingAxis_pt};
  area.x_max = 360.0;
  return area;
}

double largest_seen(const DeviationStates& states) {
  double most = 0.5;
  for (const SwingCompass* c : states.states) {
    for (const SwingPoint& p : c->points) {
      most = std::max({most, std::fabs(p.lo_deg), std::fabs(p.hi_deg)});
    }
    for (const SwingObserved& o : c->observed) {
      if (o.used) most = std::max(most, std::fabs(o.deviation_deg));
    }
  }
  return most;
}

/// The curve at every point, N again at the right end.
std::vector<PagePoint> line_of(const SwingCompass& c, const PlotArea& area,
                               double SwingPoint::*value) {
  std::vector<PagePoint> out;
  for (const SwingPoint& p : c.points) out.push_back(area.at(p.indicated_deg, p.*value));
  if (!c.points.empty()) out.push_back(area.at(360.0, c.points.front().*value));
  return out;
}

void draw_state(PageCanvas& canvas, const PlotArea& area, const SwingCompass& c, bool first) {
  if (first) {
    std::vector<PagePoint> ring = line_of(c, area, &SwingPoint::hi_deg);
    const std::vector<PagePoint> low = line_of(c, area, &SwingPoint::lo_deg);
    ring.insert(ring.end(), low.rbegin(), low.rend());
    canvas.polygon(ring, ink::kFitFill);
    canvas.polyline(line_of(c, area, &SwingPoint::deviation_deg), {ink::kFit, 1.6, Dash::solid});
    return;
  }
  for (const auto edge : {&SwingPoint::lo_deg, &SwingPoint::hi_deg}) {
    canvas.polyline(line_of(c, area, edge), {ink::kSecondWords, kHair_pt, Dash::dotted});
  }
  canvas.polyline(line_of(c, area, &SwingPoint::deviation_deg),
                  {ink::kWords, kInkLine_pt, Dash::dashed});
}

/// Where a reading is drawn: one beyond the frame stands at its edge, with its value beside it.
PagePoint drawn_at(const PlotArea& area, const SwingObserved& o) {
  const double inside = 0.94;
  return area.at(o.indicated_deg,
                 std::clamp(o.deviation_deg, inside * area.y_min, inside * area.y_max));
}

bool is_beyond(const PlotArea& area, const SwingObserved& o) {
  return std::fabs(o.deviation_deg) > area.y_max;
}

bool value_on_left(const PlotArea& area, const PagePoint& at) {
  return at.x > area.box.right - 60.0;
}

void draw_readings(PageCanvas& canvas, const PlotArea& area, const SwingCompass& c) {
  for (const SwingObserved& o : c.observed) {
    const bool beyond = is_beyond(area, o);
    const PagePoint at = drawn_at(area, o);
    if (!o.used) {
      canvas.ring(at, kDoubt_pt, {ink::kUnproven, kInkLine_pt, Dash::dashed}, ink::kPaper);
    }
    if (o.turn == SwingTurn::counterclockwise) {
      canvas.disc(at, kDot_pt, ink::kWords);
    } else {
      canvas.ring(at, kReading_pt, {ink::kWords, kLine_pt, Dash::solid}, ink::kPaper);
    }
    if (!beyond) continue;
    TextStyle style = strong_axis_words();
    style.ink = ink::kUnproven;
    style.halo = true;
    const bool right = value_on_left(area, at);
    canvas.label({at.x + (right ? -7.0 : 7.0), at.y + 3.0}, number_words(o.deviation_deg, 1) + "°",
                 style, right ? Anchor::right : Anchor::left);
  }
}

void draw_limit(PageCanvas& canvas, const PlotArea& area, const Limit& limit) {
  const double deg = limit.value.in_deg();
  for (const double y : {deg, -deg}) {
    canvas.line(area.at(0.0, y), area.at(360.0, y), {ink::kWords, kInkLine_pt, Dash::solid});
  }
  TextStyle style = strong_axis_words();
  style.halo = true;
  canvas.label({area.box.left + 3.0, area.y_pt(deg) + 9.0}, "limit ±" + limit_words(limit.value),
               style);
}

/// So that no name is written into a wide band.
std::vector<PagePoint> between(const std::vector<PagePoint>& a, const std::vector<PagePoint>& b) {
  std::vector<PagePoint> out;
  for (std::size_t i = 0; i < a.size(); ++i) {
    out.push_back({0.5 * (a[i].x + b[i].x), 0.5 * (a[i].y + b[i].y)});
  }
  return out;
}

void name_states(PageCanvas& canvas, const PlotArea& area, const DeviationStates& all,
                 bool limit_drawn) {
  LabelRoom room{canvas, area.box};
  std::vector<Lines> curves;
  for (const SwingCompass* c : all.states) {
    // The band is the curve's own: a name beside the band is beside the curve.
    curves.push_back({line_of(*c, area, &SwingPoint::deviation_deg),
                      line_of(*c, area, &SwingPoint::lo_deg),
                      line_of(*c, area, &SwingPoint::hi_deg)});
    for (const std::size_t edge : {std::size_t{1}, std::size_t{2}}) {
      curves.back().push_back(between(curves.back()[0], curves.back()[edge]));
    }
    room.avoid(curves.back());
    for (const SwingObserved& o : c->observed) {
      const PagePoint p = drawn_at(area, o);
      room.avoid(PageBox{p.x - 4.0, p.y - 4.0, p.x + 4.0, p.y + 4.0});
      if (!is_beyond(area, o)) continue;
      const double left = value_on_left(area, p) ? p.x - 40.0 : p.x;
      room.avoid(PageBox{left, p.y - 5.0, left + 40.0, p.y + 5.0});
    }
  }
  if (limit_drawn) {
    const double y = area.y_pt(all.limit->value.in_deg());
    room.avoid(PageBox{area.box.left, y, area.box.left + 60.0, y + 11.0});
  }
  for (std::size_t i = 0; i < curves.size(); ++i) {
    const std::string& loads = all.states[i]->loads;
    room.name(loads.empty() ? "deviation, 95 % band" : "loads " + loads,
              i == 0 ? ink::kFit : ink::kWords, curves[i]);
  }
}

double half_of(const SwingCompass& compass, bool used_only) {
  double most = 0.0;
  for (std::size_t i = 0; i < compass.residuals_deg.size(); ++i) {
    if (used_only && !compass.observed[i].used) continue;
    most = std::max(most, std::fabs(compass.residuals_deg[i]));
  }
  return most;
}

}  // namespace

void deviation_plot(PageCanvas& canvas, const PageBox& box, const DeviationStates& states) {
  PlotArea area = heading_area(box);
  const double seen = largest_seen(states);
  const bool near = states.limit && states.limit->value.in_deg() <= kFarLimit * seen;
  area.y_max = 1.1 * std::max(seen, near ? states.limit->value.in_deg() : 0.0);
  area.y_min = -area.y_max;
  double step = step_for(2.0 * area.y_max, std::max(2.0, area.box.height() / 15.0));
  if (step > area.y_max) step = step_for(2.0 * area.y_max, 5.0);
  y_grid(canvas, area, step, "°");
  canvas.enter_clip(
      {area.box.left - 5.0, area.box.top - 5.0, area.box.right + 5.0, area.box.bottom + 5.0});
  for (std::size_t i = 0; i < states.states.size(); ++i) {
    draw_state(canvas, area, *states.states[i], i == 0);
  }
  if (near) draw_limit(canvas, area, *states.limit);
  for (const SwingCompass* c : states.states) draw_readings(canvas, area, *c);
  canvas.leave_clip();
  name_states(canvas, area, states, near);
  heading_axis(canvas, area);
}

void deviation_residuals(PageCanvas& canvas, const PageBox& box, const SwingCompass& compass) {
  PlotArea area = heading_area(box);
  const double half = std::max(1.15 * half_of(compass, true), 0.3);
  area.y_max = half;
  area.y_min = -half;
  double step = step_for(2.0 * half, std::max(2.0, area.box.height() / 13.0));
  if (step > half) step = step_for(2.0 * half, 5.0);
  y_grid(canvas, area, step, "°");
  for (std::size_t i = 0; i < compass.residuals_deg.size(); ++i) {
    const SwingObserved& o = compass.observed[i];
    const double left = compass.residuals_deg[i];
    const bool other_way = o.turn == SwingTurn::counterclockwise;
    // The two turns beside each other.
    const double x = std::clamp(area.x_pt(o.indicated_deg) + (other_way ? 2.2 : -2.2),
                                area.box.left + 1.8, area.box.right - 1.8);
    const double end = area.y_pt(std::clamp(left, -half, half));
    const double zero = area.y_pt(0.0);
    const PageBox bar{x - 1.8, std::min(zero, end), x + 1.8, std::max(zero, end)};
    if (bar.height() > 0.2) canvas.fill(bar, o.used ? ink::kSecondWords : ink::kUnproven);
    if (std::fabs(left) <= half) continue;
    TextStyle style = strong_axis_words();
    style.ink = ink::kUnproven;
    style.halo = true;
    const bool right = x > area.box.right - 60.0;
    canvas.label(
        {x + (right ? -4.0 : 4.0), left > 0.0 ? area.box.top + 8.0 : area.box.bottom - 2.0},
        number_words(left, 1) + "°", style, right ? Anchor::right : Anchor::left);
  }
  heading_axis(canvas, area);
}

}  // namespace qn
