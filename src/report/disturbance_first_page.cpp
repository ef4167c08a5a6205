// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_first_page.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "report/disturbance_curves_plot.h"
#include "report/disturbance_trace_plot.h"
#include "report/disturbance_words.h"
#include "report/figure_words.h"
#include "report/honest_bars.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_text.h"

namespace qn {
namespace {

struct Range {
  double least, most;
};
constexpr Range kTrace_pt{88.0, 210.0};
constexpr Range kCurves_pt{76.0, 160.0};
constexpr Range kLists_pt{50.0, 116.0};
constexpr double kCrowdedLists_pt = 64.0;
constexpr double kTwoPanels_pt = 116.0;  // of a trace
constexpr double kMoreLine_pt = 11.0;
constexpr std::size_t kMostTogether = 3;

/// The framed caution and, after it, the slip with the next step.
class Closing {
 public:
  Closing(PageCanvas& canvas, const DisturbanceRun& run, double width_pt)
      : canvas_{&canvas}, caution_{disturbance_caution()}, slip_{disturbance_next_step(run)} {
    const double half = left_part({0.0, 0.0, width_pt, 0.0}, 0.5).width();
    slip_.max_lines = 3;
    if (!framed_fits(canvas, half, slip_)) {
      slip_.size_pt = 8.0;
      slip_.max_lines = 5;
    }
    height_pt_ =
        std::max(framed_height(canvas, half, caution_), framed_height(canvas, half, slip_));
  }
  double height_pt() const { return height_pt_; }
  void draw(const PageBox& room) const {
    draw_framed(*canvas_, left_part(room, 0.5), caution_);
    draw_framed(*canvas_, right_part(room, 0.5), slip_);
  }

 private:
  PageCanvas* canvas_;
  Framed caution_, slip_;
  double height_pt_ = 0.0;
};

/// Which bars stand on the first sheet, and how high their rows are.
struct Bars {
  std::vector<HonestBar> shown;
  BarRows rows;
  std::size_t devices = 0, together = 0;  ///< how many of each are shown
  std::size_t devices_left = 0, together_left = 0;
  double height_pt() const {
    const bool more = devices_left + together_left > 0;
    return honest_bars_height(shown.size(), rows) + (more ? kMoreLine_pt : 0.0);
  }
};

Bars bars_for(const DisturbanceRun& run, double room_pt) {
  std::vector<HonestBar> devices = device_bars(run);
  std::vector<HonestBar> together = together_bars(run);
  Bars bars;
  bars.rows.most_limits = kMostLimits;
  if (together.size() > kMostTogether) {
    bars.together_left = together.size() - kMostTogether;
    together.resize(kMostTogether);
  }
  const std::size_t wanted = devices.size();
  const auto fits = [&](std::size_t count) {
    const double more = count < wanted || bars.together_left > 0 ? kMoreLine_pt : 0.0;
    return honest_bars_height(count + together.size(), bars.rows) + more <= room_pt;
  };
  std::size_t count = wanted;
  if (!fits(count)) bars.rows.compact = true;
  while (count > 3 && !fits(count)) --count;
  devices.resize(count);
  bars.devices = count;
  bars.together = together.size();
  bars.devices_left = wanted - count;
  bars.shown = std::move(devices);
  if (!together.empty()) bars.rows.second_group = bars.shown.size();
  bars.shown.insert(bars.shown.end(), together.begin(), together.end());
  return bars;
}

std::string more_words(const Bars& bars) {
  std::string text;
  if (bars.devices_left > 0) {
    text = std::to_string(bars.devices_left) +
           (bars.devices_left == 1 ? " more device" : " more devices");
  }
  if (bars.together_left > 0) {
    text += (text.empty() ? "" : " and ") + std::to_string(bars.together_left) +
            (bars.together_left == 1 ? " more phase" : " more phases");
  }
  return text + " on sheet 2";
}

void draw_bars(PageCanvas& canvas, PageBox& room, const DisturbanceRun& run, const Bars& bars) {
  room.top = section_head(
      canvas, room,
      run.combinations.empty() ? "Each device, worst first" : "Each device, and together",
      kBarsCaption);
  room.top += honest_bars(canvas, {room.left, room.top + 1.0}, room.width(), bars.shown, run.limit,
                          bars.rows) +
              1.0;
  if (bars.devices_left + bars.together_left > 0) {
    canvas.label({room.left, room.top + 8.6}, more_words(bars),
                 {.size_pt = 8.0, .ink = ink::kSecondWords, .bold = true});
    room.top += kMoreLine_pt;
  }
  room.top += kApart_pt;
}

/// returns  how many axes it shows
std::size_t draw_trace(PageCanvas& canvas, PageBox& room, double height,
                       const DisturbanceRun& run) {
  const TraceView view = whole_trace(run, height >= kTwoPanels_pt ? 2 : 1);
  const bool strips = run.to_s - run.from_s > 1.5 * kStrip_s;
  room.top = section_head(canvas, room, strips ? "The whole recording" : "The recording",
                          trace_caption(run, view));
  trace_plot(canvas, {room.left, room.top, room.right, room.top + height}, run, view);
  room.top += height + kApart_pt;
  return view.axes.size();
}

void draw_curves(PageCanvas& canvas, PageBox& room, double height, const DisturbanceRun& run) {
  std::vector<NamedCurve> worst, phases;
  for (std::size_t i = 0; i < run.devices.size() && worst.size() < kMostCurves; ++i) {
    if (run.devices[i].states.empty()) continue;
    const StateEffect& state = run.devices[i].worst_state();
    worst.push_back(
        {std::to_string(i + 1) + " " + run.devices[i].name, &state.heading, state.verdict.state});
  }
  for (const CombinationEffect* one : worst_first(run.combinations)) {
    if (phases.size() < kMostCurves) {
      phases.push_back({one->phase, &one->heading, one->verdict.state});
    }
  }
  const PageBox row{room.left, room.top, room.right, room.top + kSectionHead_pt + height};
  PageBox left = phases.empty() ? row : left_part(row, 0.5);
  left.top =
      section_head(canvas, left, worst.size() > 1 ? "Worst devices, over heading" : "Over heading",
                   "degrees, magnetic");
  curves_over_heading(canvas, left, worst, run.limit);
  if (!phases.empty()) {
    PageBox right = right_part(row, 0.5);
    right.top = section_head(canvas, right, "Together, over heading", "degrees, magnetic");
    curves_over_heading(canvas, right, phases, run.limit);
  }
  room.top = row.bottom + kApart_pt;
}

}  // namespace

FirstPage disturbance_first_page(PageCanvas& canvas, PageBox room, const DisturbanceRun& run) {
  room.bottom = signature_lines(canvas, room.bottom);
  room.top = draw_opening(canvas, room, {run.verdict, run.sentence, run_facts(run)});
  const Closing closing{canvas, run, room.width()};
  PageBox last = room;
  last.top = room.bottom - closing.height_pt();
  closing.draw(last);
  room.bottom = last.top - kApart_pt;

  const double half = left_part(room, 0.5).width();
  const ListColumn unexplained{canvas, {not_explained(run)}, half, "on a later sheet"};
  const ListColumn cures{canvas, {what_to_do(run)}, half, "on a later sheet"};
  const double full = std::max(unexplained.full_height(), cures.full_height());
  const bool trace = !run.trace.time_s.empty();
  const double heads = (trace ? 3.0 : 2.0) * (kSectionHead_pt + kApart_pt);
  const double least = (trace ? kTrace_pt.least : 0.0) + kCurves_pt.least;
  const double most = (trace ? kTrace_pt.most : 0.0) + kCurves_pt.most;
  double lists = std::clamp(full, kLists_pt.least, kLists_pt.most);
  double free = room.height() - heads - lists - 1.0;
  Bars bars = bars_for(run, free - least);
  if (bars.devices_left > 0) {  // bars are worth more than the ends of the lists
    free += lists - std::min(lists, kCrowdedLists_pt);
    lists = std::min(lists, kCrowdedLists_pt);
    bars = bars_for(run, free - least);
  }
  const double share = std::clamp((free - bars.height_pt() - least) / (most - least), 0.0, 1.0);
  const auto height = [&](Range range) { return range.least + share * (range.most - range.least); };

  FirstPage page{.device_bars = bars.devices, .together_bars = bars.together};
  if (!bars.shown.empty()) draw_bars(canvas, room, run, bars);
  if (trace) page.trace_axes = draw_trace(canvas, room, height(kTrace_pt), run);
  draw_curves(canvas, room, height(kCurves_pt), run);
  page.lists_cut = full > room.height() + 0.1;
  unexplained.draw({room.left, room.top}, room.height());
  cures.draw({right_part(room, 0.5).left, room.top}, room.height());
  return page;
}

}  // namespace qn
