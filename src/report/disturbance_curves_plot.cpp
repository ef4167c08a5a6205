// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_curves_plot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "report/figure_words.h"
#include "report/label_room.h"
#include "report/plot_axes.h"
#include "report/verdict_mark.h"

namespace qn {
namespace {

constexpr double kFiguresLeft_pt = 27.0;
constexpr std::array<Dash, kMostCurves> kDashes = {Dash::solid, Dash::dashed, Dash::dotted};

/// A whole turn, in parts: broken where it is no number and where it passes 180 degrees.
template <class Value>
Lines turn(std::size_t count, const PlotArea& area, Value value_deg) {
  Lines lines(1);
  double last = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t i = 0; count > 0 && i <= count; ++i) {
    const double heading = 360.0 * static_cast<double>(i) / static_cast<double>(count);
    const double value = value_deg(i % count);
    const bool broken = !std::isfinite(value) || std::fabs(value - last) > 180.0;
    if (broken && !lines.back().empty()) lines.emplace_back();
    if (std::isfinite(value)) lines.back().push_back(area.at(heading, value));
    last = value;
  }
  return lines;
}

Lines curve_of(const NamedCurve& curve, const PlotArea& area) {
  const auto& values = curve.error->curve_deg;
  return turn(values.size(), area, [&](std::size_t i) { return values[i]; });
}

void fill_band(PageCanvas& canvas, const NamedCurve& curve, const PlotArea& area) {
  const auto& band = curve.error->curve_95;
  const Lines low = turn(band.size(), area, [&](std::size_t i) { return band[i].lo.in_deg(); });
  const Lines high = turn(band.size(), area, [&](std::size_t i) { return band[i].hi.in_deg(); });
  if (low.size() != high.size()) return;  // broken at different headings: no honest fill
  for (std::size_t i = 0; i < low.size(); ++i) {
    std::vector<PagePoint> outline = low[i];
    outline.insert(outline.end(), high[i].rbegin(), high[i].rend());
    canvas.polygon(outline, look_of(curve.verdict).pale);
  }
}

Lines level_line(const PlotArea& area, double error_deg) {
  return turn(FieldHeadingError::kHeadings, area, [&](std::size_t) { return error_deg; });
}

/// Half the height of the plot: every curve and the limit; a band far wider is cut at the frame.
double half_range_deg(const std::vector<NamedCurve>& curves, const std::optional<Limit>& limit) {
  double largest = limit ? 1.3 * limit->value.in_deg() : 0.0, band = 0.0;
  for (const NamedCurve& curve : curves) {
    for (const double value : curve.error->curve_deg) {
      if (std::isfinite(value)) largest = std::max(largest, std::fabs(value));
    }
    for (const Band95& b : curve.error->curve_95) {
      for (const double value : {b.lo.in_deg(), b.hi.in_deg()}) {
        if (std::isfinite(value)) band = std::max(band, std::fabs(value));
      }
    }
  }
  return std::max({largest, std::min(band, 2.5 * largest), 0.5});
}

void name_curves(PageCanvas& canvas, const PlotArea& area, const std::vector<NamedCurve>& curves,
                 const std::optional<Limit>& limit) {
  LabelRoom room{canvas, area.box};
  for (const NamedCurve& curve : curves) room.avoid(curve_of(curve, area));
  if (limit) {
    const double deg = limit->value.in_deg();
    for (const double y : {deg, -deg}) room.avoid(level_line(area, y));
    room.name("limit " + limit_words(limit->value), ink::kWords, level_line(area, deg));
  }
  TextStyle style = strong_axis_words();
  for (const NamedCurve& curve : curves) {
    // The names of devices may be long; what has no room on the plot stands in the table.
    std::string name = curve.name;
    const double widest = 0.6 * area.box.width();
    while (name.size() > 8 && canvas.label_width(name + "…", style) > widest) {
      do name.pop_back();
      while (!name.empty() && (static_cast<unsigned char>(name.back()) & 0xc0U) == 0x80U);
    }
    if (name.size() < curve.name.size()) {
      if (!name.empty() && static_cast<unsigned char>(name.back()) >= 0xc0U) name.pop_back();
      name += "…";
    }
    room.name(name, look_of(curve.verdict).ink, curve_of(curve, area));
  }
}

}  // namespace

void curves_over_heading(PageCanvas& canvas, const PageBox& box, const std::vector<NamedCurve>& all,
                         const std::optional<Limit>& limit) {
  std::vector<NamedCurve> curves;
  for (const NamedCurve& curve : all) {
    if (curve.error != nullptr && !curve.error->curve_deg.empty() && curves.size() < kMostCurves) {
      curves.push_back(curve);
    }
  }
  const double half = half_range_deg(curves, limit);
  constexpr double kAir = 1.12;
  const PlotArea area{.box = {box.left + kFiguresLeft_pt, box.top + 4.0, box.right - 4.0,
                              box.bottom - kHeadingAxis_pt},
                      .x_min = 0.0,
                      .x_max = 360.0,
                      .y_min = -kAir * half,
                      .y_max = kAir * half};
  double step = step_for(2.0 * half, std::max(3.0, area.box.height() / 15.0));
  if (step > half) step = half;
  y_grid(canvas, area, step, "°");
  canvas.enter_clip({area.box.left - 1.0, area.box.top, area.box.right + 1.0, area.box.bottom});
  for (auto curve = curves.rbegin(); curve != curves.rend(); ++curve) {
    fill_band(canvas, *curve, area);
  }
  if (limit) {
    for (const double y : {limit->value.in_deg(), -limit->value.in_deg()}) {
      canvas.line(area.at(0.0, y), area.at(360.0, y), {ink::kWords, kInkLine_pt, Dash::solid});
    }
  }
  for (std::size_t i = 0; i < curves.size(); ++i) {
    for (const auto& line : curve_of(curves[i], area)) {
      canvas.polyline(line, {look_of(curves[i].verdict).ink, 1.5, kDashes[i]});
    }
  }
  canvas.leave_clip();
  name_curves(canvas, area, curves, limit);
  heading_axis(canvas, area);
}

}  // namespace qn
