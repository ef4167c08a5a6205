// SPDX-License-Identifier: Apache-2.0
// The shapes of PageCanvas: lines, fills, hatches.
#include <cmath>
#include <numbers>

#include "report/page_canvas.h"
#include "report/page_device_internal.h"

namespace qn {
namespace {

PageBox box_of(const std::vector<PagePoint>& points) {
  PageBox box{points[0].x, points[0].y, points[0].x, points[0].y};
  for (const PagePoint& p : points) box = hull(box, {p.x, p.y, p.x, p.y});
  return box;
}

void path(cairo_t* cairo, const std::vector<PagePoint>& points) {
  cairo_new_path(cairo);
  for (const PagePoint& p : points) cairo_line_to(cairo, p.x, p.y);
}

void circle(cairo_t* cairo, PagePoint centre, double radius_pt) {
  cairo_new_path(cairo);
  cairo_arc(cairo, centre.x, centre.y, radius_pt, 0.0, 2.0 * std::numbers::pi);
}

void hatch_lines(cairo_t* cairo, const PageBox& box, Hatch hatch) {
  constexpr double kPitch = 3.4;
  const double reach = box.height();
  if (hatch == Hatch::level) {
    for (double y = box.top + kPitch / 2.0; y < box.bottom; y += kPitch) {
      cairo_move_to(cairo, box.left, y);
      cairo_line_to(cairo, box.right, y);
    }
    return;
  }
  for (double x = box.left - reach; x < box.right + reach; x += kPitch) {
    cairo_move_to(cairo, x, box.bottom);
    cairo_line_to(cairo, x + reach, box.top);
    if (hatch != Hatch::crossed) continue;
    cairo_move_to(cairo, x, box.top);
    cairo_line_to(cairo, x + reach, box.bottom);
  }
}

}  // namespace

void PageCanvas::Device::set(Ink colour) const {
  cairo_set_source_rgb(cairo.get(), colour.r / 255.0, colour.g / 255.0, colour.b / 255.0);
}

void PageCanvas::Device::set(const Stroke& stroke) const {
  set(stroke.ink);
  cairo_set_line_width(cairo.get(), stroke.width_pt);
  cairo_set_line_join(cairo.get(), CAIRO_LINE_JOIN_ROUND);
  constexpr double kDashed[] = {5.0, 2.4};
  constexpr double kDotted[] = {1.2, 1.8};
  switch (stroke.dash) {
    case Dash::solid: cairo_set_dash(cairo.get(), nullptr, 0, 0.0); break;
    case Dash::dashed: cairo_set_dash(cairo.get(), kDashed, 2, 0.0); break;
    case Dash::dotted: cairo_set_dash(cairo.get(), kDotted, 2, 0.0); break;
  }
}

void PageCanvas::Device::cover(PageBox box, double margin_pt) {
  box = {box.left - margin_pt, box.top - margin_pt, box.right + margin_pt, box.bottom + margin_pt};
  if (clip) box = common_part(box, *clip);
  if (box.width() < 0.0 || box.height() < 0.0) return;
  record.extent = anything_drawn ? hull(record.extent, box) : box;
  anything_drawn = true;
}

void PageCanvas::line(PagePoint from, PagePoint to, const Stroke& stroke) {
  polyline({from, to}, stroke);
}

void PageCanvas::polyline(const std::vector<PagePoint>& points, const Stroke& stroke) {
  if (points.empty()) return;
  device_->set(stroke);
  path(device_->cairo.get(), points);
  cairo_stroke(device_->cairo.get());
  device_->cover(box_of(points), stroke.width_pt / 2.0);
}

void PageCanvas::polygon(const std::vector<PagePoint>& points, Ink fill) {
  if (points.empty()) return;
  device_->set(fill);
  path(device_->cairo.get(), points);
  cairo_fill(device_->cairo.get());
  device_->cover(box_of(points), 0.0);
}

void PageCanvas::fill(const PageBox& box, Ink fill) {
  device_->set(fill);
  cairo_rectangle(device_->cairo.get(), box.left, box.top, box.width(), box.height());
  cairo_fill(device_->cairo.get());
  device_->cover(box, 0.0);
}

void PageCanvas::frame(const PageBox& box, const Stroke& stroke, double corner_pt) {
  constexpr double kQuarter = std::numbers::pi / 2.0;
  cairo_t* cairo = device_->cairo.get();
  device_->set(stroke);
  cairo_new_path(cairo);
  const double r = corner_pt;
  cairo_arc(cairo, box.right - r, box.top + r, r, -kQuarter, 0.0);
  cairo_arc(cairo, box.right - r, box.bottom - r, r, 0.0, kQuarter);
  cairo_arc(cairo, box.left + r, box.bottom - r, r, kQuarter, 2.0 * kQuarter);
  cairo_arc(cairo, box.left + r, box.top + r, r, 2.0 * kQuarter, 3.0 * kQuarter);
  cairo_close_path(cairo);
  cairo_stroke(cairo);
  device_->cover(box, stroke.width_pt / 2.0);
}

void PageCanvas::hatch(const PageBox& box, Hatch hatch, Ink lines, Ink ground) {
  if (box.width() <= 0.0 || box.height() <= 0.0) return;
  fill(box, ground);
  cairo_t* cairo = device_->cairo.get();
  cairo_save(cairo);
  cairo_rectangle(cairo, box.left, box.top, box.width(), box.height());
  cairo_clip(cairo);
  device_->set(Stroke{lines, kHatch_pt, Dash::solid});
  hatch_lines(cairo, box, hatch);
  cairo_stroke(cairo);
  cairo_restore(cairo);
  const double inset = kHair_pt / 2.0;
  frame({box.left + inset, box.top + inset, box.right - inset, box.bottom - inset},
        Stroke{lines, kHair_pt, Dash::solid});
}

void PageCanvas::disc(PagePoint centre, double radius_pt, Ink fill) {
  device_->set(fill);
  circle(device_->cairo.get(), centre, radius_pt);
  cairo_fill(device_->cairo.get());
  device_->cover({centre.x, centre.y, centre.x, centre.y}, radius_pt);
}

void PageCanvas::needles(double level_y, const std::vector<PagePoint>& tips, const Stroke& stroke) {
  if (tips.empty()) return;
  cairo_t* cairo = device_->cairo.get();
  device_->set(stroke);
  cairo_new_path(cairo);
  for (const PagePoint& tip : tips) {
    cairo_move_to(cairo, tip.x, level_y);
    cairo_line_to(cairo, tip.x, tip.y);
  }
  cairo_stroke(cairo);
  device_->cover(hull(box_of(tips), {tips[0].x, level_y, tips[0].x, level_y}),
                 stroke.width_pt / 2.0);
}

void PageCanvas::ring(PagePoint centre, double radius_pt, const Stroke& stroke, Ink fill) {
  disc(centre, radius_pt, fill);
  device_->set(stroke);
  circle(device_->cairo.get(), centre, radius_pt);
  cairo_stroke(device_->cairo.get());
  device_->cover({centre.x, centre.y, centre.x, centre.y}, radius_pt + stroke.width_pt / 2.0);
}

void PageCanvas::enter_clip(const PageBox& box) {
  cairo_save(device_->cairo.get());
  cairo_rectangle(device_->cairo.get(), box.left, box.top, box.width(), box.height());
  cairo_clip(device_->cairo.get());
  device_->clip = box;
}

void PageCanvas::leave_clip() {
  cairo_restore(device_->cairo.get());
  device_->clip.reset();
}

}  // namespace qn
