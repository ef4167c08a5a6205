// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_trace_marks.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <tuple>
#include <vector>

#include "report/disturbance_words.h"

namespace qn {
namespace {

struct OnTime {
  double left_pt, right_pt;
  std::string number;
};

std::vector<OnTime> on_times_of(const DisturbanceRun& run, const PlotArea& area) {
  std::vector<OnTime> times;
  for (std::size_t i = 0; i < run.devices.size(); ++i) {
    for (const StateEffect& state : run.devices[i].states) {
      for (const StateVisit& visit : state.visits) {
        const double from = std::max(visit.from_s, area.x_min);
        const double to = std::min(visit.to_s, area.x_max);
        if (!(to > from)) continue;
        times.push_back({area.x_pt(from), area.x_pt(to), std::to_string(i + 1)});
      }
    }
  }
  std::sort(times.begin(), times.end(), [](const OnTime& a, const OnTime& b) {
    return std::tie(a.left_pt, a.right_pt, a.number) < std::tie(b.left_pt, b.right_pt, b.number);
  });
  return times;
}

}  // namespace

void on_times(PageCanvas& canvas, const PlotArea& area, const DisturbanceRun& run) {
  const std::vector<OnTime> times = on_times_of(run, area);
  const double top = area.box.top - kNumberLane_pt;
  for (const OnTime& time : times) {
    canvas.fill({time.left_pt, top, time.right_pt, area.box.bottom}, ink::kOnFill);
  }
  // One ink or a pale printer may lose the shade: a hair at each end keeps the times.
  constexpr double kWide_pt = 4.0;  // narrower ones would be all ends
  for (const OnTime& time : times) {
    if (time.right_pt - time.left_pt < kWide_pt) continue;
    for (const double x : {time.left_pt, time.right_pt}) {
      canvas.line({x, top}, {x, area.box.bottom}, {ink::kRule, 0.3, Dash::solid});
    }
  }
  struct Number {
    const std::string* text;
    double x_pt;
  };
  std::vector<Number> numbers;
  double taken = area.box.left - 20.0;
  for (const OnTime& time : times) {
    const double half = canvas.label_width(time.number, strong_axis_words()) / 2.0;
    const double x = std::clamp((time.left_pt + time.right_pt) / 2.0, area.box.left + half,
                                area.box.right - half);
    if (x - half < taken + 1.5) continue;
    numbers.push_back({&time.number, x});
    taken = x + half;
  }
  // A few numbers among many shades would be read as all; the strips of a later sheet have them.
  if (numbers.size() * 3 < times.size() * 2) return;
  for (const Number& number : numbers) {
    canvas.label({number.x_pt, area.box.top - 2.2}, *number.text, strong_axis_words(),
                 Anchor::middle);
  }
}

void unexplained_brackets(PageCanvas& canvas, const PlotArea& area, double lane_top,
                          const std::vector<Unexplained>& things) {
  const Stroke stroke{ink::kUnexplained, kInkLine_pt, Dash::solid};
  TextStyle style = strong_axis_words();
  style.ink = ink::kUnexplained;
  style.halo = true;
  constexpr double kLeastWidth = 4.0;
  const double y = lane_top + kBracketLane_pt - 3.6;
  double taken = area.box.left - 20.0;
  for (std::size_t i = 0; i < things.size(); ++i) {
    if (!(things[i].to_s >= area.x_min) || !(things[i].from_s <= area.x_max)) continue;
    double left = area.x_pt(std::max(things[i].from_s, area.x_min));
    double right = area.x_pt(std::min(things[i].to_s, area.x_max));
    if (right - left < kLeastWidth) {
      const double middle = std::clamp((left + right) / 2.0, area.box.left + kLeastWidth / 2.0,
                                       area.box.right - kLeastWidth / 2.0);
      left = middle - kLeastWidth / 2.0;
      right = middle + kLeastWidth / 2.0;
    }
    canvas.polyline({{left, y + 3.2}, {left, y}, {right, y}, {right, y + 3.2}}, stroke);
    const std::string letter = letter_of(i);
    const double half = canvas.label_width(letter, style) / 2.0;
    const double x = std::clamp((left + right) / 2.0, area.box.left + half, area.box.right - half);
    if (x - half < taken + 1.5) continue;
    canvas.label({x, y - 2.0}, letter, style, Anchor::middle);
    taken = x + half;
  }
}

}  // namespace qn
