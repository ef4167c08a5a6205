// SPDX-License-Identifier: Apache-2.0
#include "report/sensor_fit_evidence.h"

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

#include "report/correction_numbers.h"
#include "report/coverage_plot.h"
#include "report/error_curve_plot.h"
#include "report/figure_words.h"
#include "report/forecast_table.h"
#include "report/honest_bars.h"
#include "report/residual_plot.h"
#include "report/sensor_fit_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"
#include "report/sheet_text.h"

namespace qn {
namespace {

constexpr double kWideShare = 0.57;  // of the plots on the left

struct Range {
  double least, most;
};
constexpr Range kCurve_pt{74.0, 150.0};
constexpr Range kResiduals_pt{66.0, 100.0};

void bars(PageCanvas& canvas, PageBox& room, const SensorFit& fit) {
  room.top = section_head(canvas, room, "Largest heading error, level",
                          "degrees · solid: at least this · hatched: to the end of the 95 % band");
  room.top += honest_bars(canvas, {room.left, room.top + 1.0}, room.width(), before_and_after(fit),
                          fit.verdict.limit) +
              1.0 + kApart_pt;
}

const char* curve_caption(const SensorFit& fit) {
  if (fit.frame == FitFrame::sensor) return "degrees, sensor’s axes";
  return fit.stations.empty() ? "degrees, magnetic" : "degrees · ○ left at a station";
}

void curve_and_coverage(PageCanvas& canvas, PageBox& room, double height, const SensorFit& fit) {
  PageBox left = left_part(room, kWideShare), right = right_part(room, kWideShare);
  left.top = section_head(canvas, left, "Heading error over heading", curve_caption(fit));
  right.top = section_head(canvas, right, "Directions", coverage_words(fit));
  left.bottom = right.bottom = left.top + height;
  error_curve_plot(canvas, left, {fit.curve, fit.stations, fit.verdict.limit});
  coverage_plot(canvas, right, fit.coverage);
  room.top = left.bottom + kApart_pt;
}

void residuals_and_forecast(PageCanvas& canvas, PageBox& room, double height,
                            const SensorFit& fit) {
  PageBox left = left_part(room, kWideShare), right = right_part(room, kWideShare);
  left.top =
      section_head(canvas, left, "What the fit leaves", "µT, largest at a time · ○ left out");
  right.top = section_head(canvas, right, "Tilted, after correction", "degrees");
  left.bottom = right.bottom = left.top + height;
  residual_plot(canvas, left, fit.residuals);
  forecast_table(canvas, right, fit.forecast);
  room.top = left.bottom + kApart_pt;
}

void numbers(PageCanvas& canvas, PageBox& room, const SensorFit& fit) {
  room.top = section_head(canvas, room, "The correction",
                          fit.frame == FitFrame::sensor
                              ? "corrected = matrix × (raw − offset), in the sensor’s own axes"
                              : "corrected = matrix × (raw − offset), in the airframe’s axes");
  room.top += correction_numbers(canvas, room, fit) + kApart_pt;
}

struct Evidence {
  ListColumn left, right;
  double full_height() const { return std::max(left.full_height(), right.full_height()); }
};

/// The lists in two columns, so that the longer column is as short as their order allows.
Evidence lists_of(PageCanvas& canvas, const PageBox& room, const SensorFit& fit) {
  const double width = left_part(room, 0.5).width();
  std::vector<TextList> lists;
  for (TextList& list : std::vector<TextList>{cannot_show(fit), assumed(fit), found(fit)}) {
    if (!list.items.empty()) lists.push_back(std::move(list));
  }
  const auto split_at = [&](std::size_t first) {
    const auto middle = lists.begin() + static_cast<std::ptrdiff_t>(first);
    return Evidence{{canvas, {lists.begin(), middle}, width},
                    {canvas, {middle, lists.end()}, width}};
  };
  std::size_t best = std::min<std::size_t>(1, lists.size());
  for (std::size_t first = 2; first < lists.size(); ++first) {
    if (split_at(first).full_height() < split_at(best).full_height()) best = first;
  }
  return split_at(best);
}

/// returns  the height used
double draw_lists(const PageBox& room, const Evidence& lists) {
  const double left = lists.left.draw({room.left, room.top}, room.height());
  const double right = lists.right.draw({right_part(room, 0.5).left, room.top}, room.height());
  return std::max(left, right);
}

/// Empty lines for a pencil, where a sheet has room.
void lines_for_remarks(PageCanvas& canvas, PageBox room) {
  constexpr double kLine = 20.0, kLeast = 3.0 * kLine;
  if (room.height() < kLeast) return;
  room.top = section_head(canvas, room, "By hand", "what you saw, and what you will do otherwise");
  for (double y = room.top + kLine; y <= room.bottom; y += kLine) {
    canvas.line({room.left, y}, {room.right, y}, {ink::kRule, kHair_pt, Dash::solid});
  }
}

}  // namespace

void fit_evidence(PageCanvas& canvas, PageBox room, const SensorFit& fit) {
  bars(canvas, room, fit);
  const Evidence lists = lists_of(canvas, room, fit);
  const double fixed =
      2.0 * (kSectionHead_pt + kApart_pt) + kSectionHead_pt + kCorrectionNumbers_pt + kApart_pt;
  const double free = room.height() - fixed - lists.full_height();
  const double least = kCurve_pt.least + kResiduals_pt.least;
  const double most = kCurve_pt.most + kResiduals_pt.most;
  const double share = std::clamp((free - least) / (most - least), 0.0, 1.0);
  const auto height = [&](Range range) { return range.least + share * (range.most - range.least); };
  curve_and_coverage(canvas, room, height(kCurve_pt), fit);
  residuals_and_forecast(canvas, room, height(kResiduals_pt), fit);
  numbers(canvas, room, fit);
  draw_lists(room, lists);
}

void evidence_without_correction(PageCanvas& canvas, PageBox room, const SensorFit& fit) {
  const bool any = std::any_of(fit.coverage.counts.begin(), fit.coverage.counts.end(),
                               [](std::size_t count) { return count > 0; });
  if (any) {
    PageBox plot = room;
    plot.top = section_head(canvas, room, "Directions the field was met from", coverage_words(fit));
    plot.bottom = plot.top + kCurve_pt.most;
    plot.right = left_part(room, kWideShare).right;
    coverage_plot(canvas, plot, fit.coverage);
    const Paragraph how{.text = coverage_explanation(fit),
                        .style = {.size_pt = 8.0, .ink = ink::kSecondWords}};
    const PageBox beside = right_part(room, kWideShare);
    canvas.paragraph({beside.left, plot.top + 6.0}, beside.width(), how);
    room.top = plot.bottom + 2.0 * kApart_pt;
  }
  room.top += draw_lists(room, lists_of(canvas, room, fit)) + 2.0 * kApart_pt;
  lines_for_remarks(canvas, room);
}

}  // namespace qn
