// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_sheet.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "report/disturbance_first_page.h"
#include "report/disturbance_table.h"
#include "report/disturbance_trace_plot.h"
#include "report/disturbance_words.h"
#include "report/honest_bars.h"
#include "report/sheet_columns.h"
#include "report/sheet_flow.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"

namespace qn {
namespace {

constexpr double kStripFrame_pt = 58.0;
constexpr double kStripPanel_pt = 40.0;  // of each axis
constexpr double kSinglePanel_pt = 56.0;
constexpr std::size_t kMostStrips = 18;

/// The bars that the first sheet had no room for, as many under one ruler as a sheet holds.
void rest_of_bars(SheetFlow& flow, const std::string& title, const DisturbanceRun& run,
                  const std::vector<HonestBar>& all, std::size_t shown) {
  const BarRows rows{.compact = true, .most_limits = kMostLimits};
  for (std::size_t begin = shown; begin < all.size();) {
    flow.need(kSectionHead_pt + honest_bars_height(1, rows) + kApart_pt);
    const double room = flow.room().height() - kSectionHead_pt - kApart_pt;
    std::size_t end = begin + 1;
    while (end < all.size() && honest_bars_height(end - begin + 1, rows) <= room) ++end;
    section_head(flow.canvas(), flow.take(kSectionHead_pt), title, kBarsCaption);
    const PageBox box = flow.take(honest_bars_height(end - begin, rows) + 1.0);
    honest_bars(flow.canvas(), {box.left, box.top + 1.0}, box.width(),
                {all.begin() + static_cast<std::ptrdiff_t>(begin),
                 all.begin() + static_cast<std::ptrdiff_t>(end)},
                run.limit, rows);
    flow.skip(kApart_pt);
    begin = end;
  }
}

/// The trace again, where the first sheet has it too narrow or not all of its axes.
void strips(SheetFlow& flow, const DisturbanceRun& run, std::size_t axes_shown) {
  const double span = run.to_s - run.from_s;
  const TraceView whole = whole_trace(run, 3);
  if (run.trace.time_s.empty() || !(span > 0.0)) return;
  if (span <= 1.5 * kStrip_s && whole.axes.size() <= axes_shown) return;
  const double minutes =
      std::ceil(std::max(kStrip_s, span / static_cast<double>(kMostStrips)) / 60.0);
  const bool one = span <= 1.5 * kStrip_s;
  const double high = kStripFrame_pt + (one ? kSinglePanel_pt : kStripPanel_pt) *
                                           static_cast<double>(whole.axes.size());
  const double first = one ? run.from_s : 60.0 * std::floor(run.from_s / 60.0);
  bool begun = false;
  for (double from = first; from < run.to_s; from += 60.0 * minutes) {
    if (flow.need(high + (begun ? 0.0 : kSectionHead_pt)) || !begun) {
      section_head(flow.canvas(), flow.take(kSectionHead_pt),
                   one     ? "Every axis"
                   : begun ? "In strips, continued"
                           : "In strips",
                   trace_caption(run, whole));
    }
    begun = true;
    TraceView view = whole;
    view.from_s = from;
    view.to_s = one ? run.to_s : from + 60.0 * minutes;
    trace_plot(flow.canvas(), flow.take(high), run, view);
    flow.skip(4.0);
    if (one) break;
  }
  flow.skip(kApart_pt);
}

Result<PageRecord> draw(const DisturbanceRun& run, const SheetContext& context, PageFormat format,
                        std::size_t pages) {
  const std::string of = context.aircraft.empty() ? "" : ", " + context.aircraft;
  auto opened = PageCanvas::open(format, context.letter ? kLetter : kA4,
                                 {"Disturbance run" + of, context.day}, pages);
  if (!opened) return opened.error();
  PageCanvas& canvas = opened.value();
  const std::string what = "Disturbance run";
  std::size_t page = 1;
  const FirstPage first =
      disturbance_first_page(canvas, frame_sheet(canvas, what, context, page, pages), run);
  SheetFlow flow{canvas, [&] {
                   canvas.next_page();
                   PageBox room = frame_sheet(canvas, what, context, ++page, pages);
                   room.top += 9.0;
                   return room;
                 }};
  rest_of_bars(flow, "Each device, continued", run, device_bars(run), first.device_bars);
  rest_of_bars(flow, "Together, continued", run, together_bars(run), first.together_bars);
  flow_table(flow, "Each device and state", device_rows(run));
  flow_table(flow, "Together, as vectors", together_rows(run));
  if (first.lists_cut) {
    flow.list(not_explained(run));
    flow.list(what_to_do(run));
  }
  for (const TextList& list : run_remarks(run)) flow.list(list);
  strips(flow, run, first.trace_axes);
  return canvas.finish();
}

}  // namespace

Result<PageRecord> draw_disturbance_sheet(const DisturbanceRun& run, const SheetContext& context,
                                          PageFormat format) {
  return draw_numbered(
      [&](PageFormat as, std::size_t pages) { return draw(run, context, as, pages); }, format);
}

Result<std::string> disturbance_sheet_pdf(const DisturbanceRun& run, const SheetContext& context) {
  return bytes_of(draw_disturbance_sheet(run, context, PageFormat::pdf));
}

Result<std::string> disturbance_sheet_svg(const DisturbanceRun& run, const SheetContext& context) {
  return bytes_of(draw_disturbance_sheet(run, context, PageFormat::svg));
}

}  // namespace qn
