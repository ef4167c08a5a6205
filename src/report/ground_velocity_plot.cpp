// SPDX-License-Identifier: Apache-2.0
#include "report/ground_velocity_plot.h"

#include <algorithm>
#include <cmath>

#include "report/figure_words.h"
#include "report/label_room.h"
#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kTau = 6.283185307179586;
constexpr double kLeg_pt = 3.0, kNotUsed_pt = 3.6;

/// Knots to points, the same in both directions, so that a circle is round.
struct VelocityMap {
  PagePoint origin;
  double pt_per_kt = 1.0;
  PagePoint at(double east_kt, double north_kt) const {
    return {origin.x + east_kt * pt_per_kt, origin.y - north_kt * pt_per_kt};
  }
};

VelocityMap map_for(const PageBox& box, const GroundVelocities& seen) {
  double left = 0.0, right = 0.0, low = 0.0, high = 0.0;
  const auto hold = [&](double east, double north) {
    left = std::min(left, east);
    right = std::max(right, east);
    low = std::min(low, north);
    high = std::max(high, north);
  };
  for (const GroundVelocity& leg : seen.legs) hold(leg.east_kt, leg.north_kt);
  if (seen.circle) {
    const WindCircle& c = *seen.circle;
    hold(c.east_kt - c.radius_kt, c.north_kt - c.radius_kt);
    hold(c.east_kt + c.radius_kt, c.north_kt + c.radius_kt);
  }
  const double wide = std::max(right - left, 1.0), tall = std::max(high - low, 1.0);
  VelocityMap map;
  map.pt_per_kt = 0.86 * std::min(box.width() / wide, box.height() / tall);
  map.origin = {0.5 * (box.left + box.right) - 0.5 * (left + right) * map.pt_per_kt,
                0.5 * (box.top + box.bottom) + 0.5 * (low + high) * map.pt_per_kt};
  return map;
}

void draw_axes(PageCanvas& canvas, const PageBox& box, const VelocityMap& map,
               const std::string& north) {
  const Stroke weak{ink::kGrid, kLine_pt, Dash::solid};
  canvas.line({box.left, map.origin.y}, {box.right, map.origin.y}, weak);
  canvas.line({map.origin.x, box.top + 11.0}, {map.origin.x, box.bottom}, weak);
  canvas.label({map.origin.x, box.top + 8.0}, north, strong_axis_words(), Anchor::middle);
  canvas.label({box.right - 1.0, map.origin.y - 3.0}, "E", strong_axis_words(), Anchor::right);
}

/// A length to compare with, in place of figures on every ring.
void draw_scale(PageCanvas& canvas, const PageBox& box, const VelocityMap& map) {
  const double length_kt = step_for(box.width() / map.pt_per_kt, 5.0);
  const double y = box.bottom - 3.0, right = box.left + length_kt * map.pt_per_kt;
  graduated_edge(canvas, y - kEdge_pt, {box.left, 0.5 * (box.left + right), right});
  canvas.label({right + 4.0, y}, number_words(length_kt, 0) + " kt", axis_words());
}

void draw_circle(PageCanvas& canvas, const VelocityMap& map, const WindCircle& c) {
  std::vector<PagePoint> ring;
  for (int k = 0; k <= 120; ++k) {
    const double angle = kTau * k / 120.0;
    ring.push_back(map.at(c.east_kt + c.radius_kt * std::sin(angle),
                          c.north_kt + c.radius_kt * std::cos(angle)));
  }
  canvas.polyline(ring, {ink::kFit, 1.4, Dash::solid});
}

void draw_wind(PageCanvas& canvas, const VelocityMap& map, const WindCircle& c) {
  const PagePoint tip = map.at(c.east_kt, c.north_kt);
  const double dx = tip.x - map.origin.x, dy = tip.y - map.origin.y;
  const double length = std::hypot(dx, dy);
  const Stroke stroke{ink::kWords, kInkLine_pt, Dash::solid};
  canvas.disc(map.origin, 1.6, ink::kWords);
  if (length < 2.0) return;
  canvas.line(map.origin, tip, stroke);
  const double head = std::min(6.0, 0.5 * length);
  const double ux = dx / length, uy = dy / length;
  canvas.polygon({tip,
                  {tip.x - head * ux - 0.4 * head * uy, tip.y - head * uy + 0.4 * head * ux},
                  {tip.x - head * ux + 0.4 * head * uy, tip.y - head * uy - 0.4 * head * ux}},
                 ink::kWords);
  TextStyle style = strong_axis_words();
  style.halo = true;
  canvas.label({map.origin.x - 14.0 * ux, map.origin.y - 9.0 * uy + 3.0}, "wind", style,
               Anchor::middle);
}

void draw_leg(PageCanvas& canvas, const VelocityMap& map, const GroundVelocity& leg) {
  const PagePoint p = map.at(leg.east_kt, leg.north_kt);
  if (leg.used) {
    canvas.disc(p, kLeg_pt, ink::kWords);
  } else {
    canvas.ring(p, kNotUsed_pt, {ink::kUnproven, kInkLine_pt, Dash::dashed}, ink::kPaper);
  }
  // Away from the middle of the plot, where nothing else stands.
  const double dx = p.x - map.origin.x, dy = p.y - map.origin.y;
  const double length = std::max(std::hypot(dx, dy), 1.0);
  TextStyle style = strong_axis_words();
  style.ink = leg.used ? ink::kWords : ink::kUnproven;
  style.halo = true;
  canvas.label({p.x + 9.0 * dx / length, p.y + 9.0 * dy / length + 3.0}, leg.name, style,
               Anchor::middle);
}

}  // namespace

void ground_velocity_plot(PageCanvas& canvas, const PageBox& box, const GroundVelocities& seen) {
  const PageBox inner{box.left + 2.0, box.top + 12.0, box.right - 2.0, box.bottom - 12.0};
  const VelocityMap map = map_for(inner, seen);
  draw_axes(canvas, box, map, seen.north);
  if (seen.circle) draw_circle(canvas, map, *seen.circle);
  for (const GroundVelocity& leg : seen.legs) {
    canvas.line(map.origin, map.at(leg.east_kt, leg.north_kt), {ink::kRule, kHair_pt, Dash::solid});
  }
  if (seen.circle) draw_wind(canvas, map, *seen.circle);
  for (const GroundVelocity& leg : seen.legs) draw_leg(canvas, map, leg);
  draw_scale(canvas, box, map);
}

}  // namespace qn
