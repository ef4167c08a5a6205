// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_trace_plot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string_view>

#include "report/disturbance_trace_marks.h"
#include "report/figure_words.h"
#include "report/label_room.h"  // Lines
#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kFiguresLeft_pt = 27.0;
constexpr double kNameRight_pt = 10.0;
constexpr double kPanelGap_pt = 6.0;
constexpr double kLeftOver_pt = 17.0;
constexpr std::array<std::string_view, 3> kAxisNames = {"x forward", "y right", "z down"};

std::size_t points_of(const RunTrace& trace) {
  return std::min({trace.time_s.size(), trace.field_uT.size(), trace.fit_uT.size(),
                   trace.rest_uT.size(), trace.used.size()});
}

double largest_effect(const DisturbanceRun& run, std::size_t axis) {
  double largest = 0.0;
  for (std::size_t i = 0; i < points_of(run.trace); ++i) {
    const double effect = std::fabs(run.trace.fit_uT[i][axis] - run.trace.rest_uT[i][axis]);
    if (std::isfinite(effect)) largest = std::max(largest, effect);
  }
  for (const Unexplained& thing : run.unexplained) {
    const double size = std::fabs(thing.size_uT[axis]);
    if (std::isfinite(size)) largest = std::max(largest, size);
  }
  return largest;
}

double range_of_rest(const RunTrace& trace, std::size_t axis) {
  double lo = 0.0, hi = 0.0;
  for (std::size_t i = 0; i < points_of(trace); ++i) {
    const double change = trace.rest_uT[i][axis] - trace.rest_uT[0][axis];
    if (!std::isfinite(change)) continue;
    lo = std::min(lo, change);
    hi = std::max(hi, change);
  }
  return hi - lo;
}

/// The points of a view, measured from the rest field.
struct Shown {
  std::size_t begin = 0, end = 0;
  double gap_s = 0.0;  ///< a longer pause breaks a line
};

Shown shown_of(const RunTrace& trace, const TraceView& view) {
  const auto last = trace.time_s.begin() + static_cast<std::ptrdiff_t>(points_of(trace));
  const auto from = std::lower_bound(trace.time_s.begin(), last, view.from_s);
  const auto to = std::upper_bound(from, last, view.to_s);
  Shown shown{static_cast<std::size_t>(from - trace.time_s.begin()),
              static_cast<std::size_t>(to - trace.time_s.begin())};
  std::vector<double> steps;
  for (std::size_t i = shown.begin + 1; i < shown.end; ++i) {
    steps.push_back(trace.time_s[i] - trace.time_s[i - 1]);
  }
  if (steps.empty()) return shown;
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  shown.gap_s = 5.0 * *middle;
  return shown;
}

class Trace {
 public:
  Trace(PageCanvas& canvas, const DisturbanceRun& run, const TraceView& view)
      : canvas_{canvas}, trace_{run.trace}, view_{view}, shown_{shown_of(run.trace, view)} {}

  void panel(PlotArea area, std::size_t axis) {
    double lo = 0.0, hi = 0.0;
    for (std::size_t i = shown_.begin; i < shown_.end; ++i) {
      for (const auto* column : {&trace_.field_uT, &trace_.fit_uT}) {
        const double value = above_rest(*column, i, axis);
        if (!std::isfinite(value) || trace_.used[i] == 0) continue;
        lo = std::min(lo, value);
        hi = std::max(hi, value);
      }
    }
    const double range = std::max(hi - lo, 0.05);  // finer figures have no room
    area.y_min = lo - 0.08 * range;
    area.y_max = hi + 0.12 * range;
    y_grid(canvas_, area, step_for(1.2 * range, std::max(2.5, area.box.height() / 12.0)), "");
    canvas_.enter_clip({area.box.left - 1.0, area.box.top, area.box.right + 1.0, area.box.bottom});
    draw(lines(area, trace_.field_uT, axis, false), {ink::kWords, 0.5, Dash::solid});
    draw(lines(area, trace_.fit_uT, axis, true), {ink::kFit, 1.5, Dash::solid});
    canvas_.leave_clip();
    if (view_.axes.size() < 2) return;  // the caption names it
    canvas_.label({area.box.right + 4.0, (area.box.top + area.box.bottom) / 2.0 + 2.9},
                  kAxisNames[axis].substr(0, 1), strong_axis_words());
  }

  /// Length, along the ground, of what the fit leaves: the largest at a time.
  void left_over(const PlotArea& strip) {
    PlotArea area = strip;
    double most_used = 0.0, most = 0.0;
    const auto left = [&](std::size_t i) {
      return std::hypot(trace_.field_uT[i][0] - trace_.fit_uT[i][0],
                        trace_.field_uT[i][1] - trace_.fit_uT[i][1]);
    };
    constexpr double kBin_pt = 1.4;
    std::vector<PagePoint> tips;
    std::vector<double> sizes;
    for (std::size_t i = shown_.begin; i < shown_.end; ++i) {
      const double size = left(i);
      if (!std::isfinite(size)) continue;
      most = std::max(most, size);
      if (trace_.used[i] != 0) most_used = std::max(most_used, size);
      const double x = area.x_pt(trace_.time_s[i]);
      if (tips.empty() || x - tips.back().x >= kBin_pt) {
        tips.push_back({x, size});
      } else {
        tips.back().y = std::max(tips.back().y, size);
      }
    }
    area.y_max = most_used > 0.0 ? 1.1 * std::min(most, 2.0 * most_used) : std::max(most, 0.02);
    for (PagePoint& tip : tips) tip.y = area.y_pt(std::min(tip.y, area.y_max));
    const double round = step_for(area.y_max, 1.0) / 2.0;  // one figure beside the zero
    const double figure = round <= area.y_max ? round : round / 2.0;
    for (const double level : {0.0, figure}) {
      const double y = area.y_pt(level);
      canvas_.line({area.box.left, y}, {area.box.right, y}, {ink::kGrid, kHair_pt, Dash::solid});
      canvas_.label({area.box.left - 4.0, y + 2.9},
                    number_words(level, level > 0.0 ? decimals_for(round) : 0), axis_words(),
                    Anchor::right);
    }
    canvas_.needles(area.y_pt(0.0), tips, {ink::kSecondWords, 0.8, Dash::solid});
    if (most <= area.y_max) return;
    TextStyle style = axis_words();
    style.halo = true;
    canvas_.label({area.box.right - 1.0, area.box.top + 6.6},
                  "up to " + number_words(most, 2) + " µT", style, Anchor::right);
  }

 private:
  double above_rest(const std::vector<Vector3>& column, std::size_t i, std::size_t axis) const {
    return column[i][axis] - trace_.rest_uT[view_.drift_removed ? i : 0][axis];
  }

  Lines lines(const PlotArea& area, const std::vector<Vector3>& column, std::size_t axis,
              bool used_only) const {
    Lines lines(1);
    double last_s = -std::numeric_limits<double>::infinity();
    for (std::size_t i = shown_.begin; i < shown_.end; ++i) {
      const double value = above_rest(column, i, axis);
      const bool gone = !std::isfinite(value) || (used_only && trace_.used[i] == 0);
      const bool gap = trace_.time_s[i] - last_s > shown_.gap_s;
      if ((gone || gap) && !lines.back().empty()) lines.emplace_back();
      if (gone) continue;
      lines.back().push_back(area.at(trace_.time_s[i], value));
      last_s = trace_.time_s[i];
    }
    return lines;
  }

  void draw(const Lines& lines, const Stroke& stroke) {
    for (const auto& line : lines) canvas_.polyline(line, stroke);
  }

  PageCanvas& canvas_;
  const RunTrace& trace_;
  const TraceView& view_;
  Shown shown_;
};

}  // namespace

TraceView whole_trace(const DisturbanceRun& run, std::size_t most_axes) {
  TraceView view{.from_s = run.from_s, .to_s = run.to_s};
  if (points_of(run.trace) == 0) return view;
  std::array<double, 3> effect{};
  for (std::size_t axis = 0; axis < 3; ++axis) effect[axis] = largest_effect(run, axis);
  const double largest = std::max({effect[0], effect[1], effect[2]});
  constexpr double kWorthShowing = 0.15;  // of the largest
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const bool turns_heading = axis < 2;
    if (effect[axis] >= kWorthShowing * largest && (turns_heading || most_axes > 2)) {
      view.axes.push_back(axis);
    }
  }
  if (view.axes.empty()) view.axes = {0};
  while (view.axes.size() > std::max<std::size_t>(1, most_axes)) {
    view.axes.erase(
        std::min_element(view.axes.begin(), view.axes.end(),
                         [&](std::size_t a, std::size_t b) { return effect[a] < effect[b]; }));
  }
  double drift = 0.0;
  for (const std::size_t axis : view.axes) {
    drift = std::max(drift, range_of_rest(run.trace, axis));
  }
  view.drift_removed = drift > 1.5 * largest && largest > 0.0;
  return view;
}

std::string trace_caption(const DisturbanceRun& run, const TraceView& view) {
  std::string text = "µT";
  for (std::size_t i = 0; i < view.axes.size(); ++i) {
    text += (i == 0 ? " along " : ", ") + std::string{kAxisNames[view.axes[i]]};
  }
  if (view.drift_removed) text += ", drift taken off";
  text += " · shaded: on · thick: fit";
  if (!run.unexplained.empty()) text += " · bracket: unexplained";
  return text + " · below: left over";
}

void trace_plot(PageCanvas& canvas, const PageBox& box, const DisturbanceRun& run,
                const TraceView& view) {
  if (view.axes.empty() || !(view.to_s > view.from_s)) return;
  const double lanes = kNumberLane_pt + (run.unexplained.empty() ? 0.0 : kBracketLane_pt);
  PlotArea whole{.box = {box.left + kFiguresLeft_pt, box.top + 2.0 + lanes,
                         box.right - kNameRight_pt, box.bottom - kHeadingAxis_pt},
                 .x_min = view.from_s,
                 .x_max = view.to_s};
  on_times(canvas, whole, run);
  Trace trace{canvas, run, view};
  const double count = static_cast<double>(view.axes.size());
  const double high = (whole.box.height() - kLeftOver_pt - count * kPanelGap_pt) / count;
  PlotArea area = whole;
  for (const std::size_t axis : view.axes) {
    area.box.bottom = area.box.top + high;
    trace.panel(area, axis);
    area.box.top = area.box.bottom + kPanelGap_pt;
  }
  area.box.bottom = whole.box.bottom;
  trace.left_over(area);
  unexplained_brackets(canvas, whole, box.top + 2.0, run.unexplained);
  time_axis(canvas, whole, view.from_s);
}

}  // namespace qn
