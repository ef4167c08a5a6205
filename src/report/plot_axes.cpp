// SPDX-License-Identifier: Apache-2.0
#include "report/plot_axes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "report/figure_words.h"

namespace qn {
namespace {

struct TimeUnit {
  std::string_view name;
  double seconds;
  bool sixties;  // counted by 60, so that 2, 5, 10, 20, 30 are its round numbers
};
constexpr std::array<TimeUnit, 4> kTimeUnits = {
    {{"s", 1.0, true}, {"min", 60.0, true}, {"h", 3600.0, false}, {"days", 86400.0, false}}};

const TimeUnit& time_unit_for(double span_s) {
  std::size_t best = 0;
  for (std::size_t i = 1; i < kTimeUnits.size(); ++i) {
    if (span_s >= 2.0 * kTimeUnits[i].seconds) best = i;
  }
  return kTimeUnits[best];
}

/// A round length, in units, of which at most nine fill the axis.
double time_length_for(double span_units, const TimeUnit& unit) {
  constexpr double kMost = 9.0;
  if (unit.sixties && span_units >= 1.0) {
    for (const double length : {1.0, 2.0, 5.0, 10.0, 20.0, 30.0}) {
      if (span_units <= kMost * length) return length;
    }
  }
  return step_for(span_units, kMost);
}

}  // namespace

TextStyle axis_words() { return {.size_pt = kAxisWords_pt, .ink = ink::kSecondWords}; }
TextStyle strong_axis_words() { return {.size_pt = kAxisWords_pt, .bold = true}; }

double step_for(double span, double most) {
  const double least = span / most;
  if (!(least > 0.0) || !std::isfinite(least)) return 1.0;
  const double decade = std::pow(10.0, std::floor(std::log10(least)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * decade >= least * (1.0 - 1e-9)) return factor * decade;
  }
  return 10.0 * decade;
}

int decimals_for(double step) {
  return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 6);
}

void graduated_edge(PageCanvas& canvas, double top, const std::vector<double>& marks_x_pt) {
  if (marks_x_pt.size() < 2) return;
  for (std::size_t i = 0; i + 1 < marks_x_pt.size(); i += 2) {
    canvas.fill({marks_x_pt[i], top, marks_x_pt[i + 1], top + kEdge_pt}, ink::kWords);
  }
  const double inset = kHair_pt / 2.0;
  canvas.frame(
      {marks_x_pt.front() + inset, top + inset, marks_x_pt.back() - inset, top + kEdge_pt - inset},
      {ink::kWords, kHair_pt, Dash::solid});
}

void y_grid(PageCanvas& canvas, const PlotArea& area, double step, std::string_view unit) {
  constexpr double kFiguresApart_pt = 11.5;
  const double apart = step / (area.y_max - area.y_min) * area.box.height();
  const double every = apart < kFiguresApart_pt ? 2.0 : 1.0;
  const double first = std::ceil(area.y_min / step - 1e-9);
  const double last = std::floor(area.y_max / step + 1e-9);
  for (double k = first; k <= last; k += 1.0) {
    const double y = area.y_pt(k * step);
    canvas.line({area.box.left, y}, {area.box.right, y},
                {k == 0.0 ? ink::kRule : ink::kGrid, kHair_pt, Dash::solid});
    if (std::fmod(k, every) != 0.0) continue;
    canvas.label({area.box.left - 4.0, y + 0.36 * kAxisWords_pt},
                 number_words(k * step, decimals_for(step)) + std::string{unit}, axis_words(),
                 Anchor::right);
  }
}

void heading_axis(PageCanvas& canvas, const PlotArea& area) {
  std::vector<double> marks;
  for (int heading = 0; heading <= 360; heading += 30) marks.push_back(area.x_pt(heading));
  const double top = area.box.bottom + 1.6;
  graduated_edge(canvas, top, marks);
  static constexpr std::array<std::string_view, 4> kQuarters = {"N", "E", "S", "W"};
  // Where lengths are short only every second figure has room.
  const double room = marks[1] - marks[0];
  const bool all = room > canvas.label_width("030", axis_words()) + 3.0;
  for (int heading = 0; heading <= 360; heading += 30) {
    const PagePoint below{area.x_pt(heading), top + kEdge_pt + 9.6};
    if (heading % 90 == 0) {
      const auto quarter = static_cast<std::size_t>(heading / 90 % 4);
      canvas.label(below, kQuarters[quarter], strong_axis_words(), Anchor::middle);
    } else if (all) {
      canvas.label(below, heading_words(heading), axis_words(), Anchor::middle);
    }
  }
}

void time_axis(PageCanvas& canvas, const PlotArea& area, double starts_at_s) {
  const double span = area.x_max - area.x_min;
  const TimeUnit& unit = time_unit_for(span);
  const double length = time_length_for(span / unit.seconds, unit);
  const double top = area.box.bottom + 1.6;
  const double figures_y = top + kEdge_pt + 9.6;
  const double name_left = area.box.right - canvas.label_width(unit.name, axis_words());
  const double first = starts_at_s / unit.seconds;
  const bool whole = std::fabs(first - std::round(first)) < 0.005;
  const int decimals = std::max(decimals_for(std::min(1.0, length)), whole ? 0 : 1);
  std::vector<double> marks;
  for (double k = 0.0; k * length * unit.seconds <= span * (1.0 + 1e-9); k += 1.0) {
    const double x = area.x_pt(area.x_min + k * length * unit.seconds);
    marks.push_back(x);
    const std::string figure = number_words(first + k * length, decimals);
    const double half = canvas.label_width(figure, axis_words()) / 2.0;
    if (x + half > name_left - 3.0) continue;  // the unit stands there
    canvas.label({x, figures_y}, figure, axis_words(), Anchor::middle);
  }
  if (area.box.right - marks.back() > 0.5) marks.push_back(area.box.right);
  graduated_edge(canvas, top, marks);
  canvas.label({area.box.right, figures_y}, unit.name, axis_words(), Anchor::right);
}

}  // namespace qn
