// SPDX-License-Identifier: Apache-2.0
#include "report/swing_plan_sheet.h"

#include <fmt/format.h>

#include <utility>

#include "report/figure_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_flow.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"
#include "report/swing_stop_rows.h"

namespace qn {
namespace {

constexpr double kChoiceRow_pt = 12.5;
constexpr double kSignatures_pt = 31.0;  // what signature_lines takes

/// What 8 once up to 24 both ways would tell.
void choice_table(SheetFlow& flow, const SwingPlan& plan) {
  PageCanvas& canvas = flow.canvas();
  const double height =
      kSectionHead_pt + kChoiceRow_pt * static_cast<double>(plan.choices.size() + 1) + 3.0;
  PageBox box = flow.take(height);
  const std::string caption =
      fmt::format("half width of the 95 % band, degrees · last: band of a largest deviation of {}°",
                  number_words(plan.planned_worst_deg, 1));
  double y = section_head(canvas, box, "What so many readings tell", caption);
  constexpr std::array<double, 10> kAt = {0.0,  0.10, 0.235, 0.33, 0.43,
                                          0.52, 0.61, 0.70,  0.79, 1.0};
  const auto row = [&](const std::vector<std::string>& cells, bool bold, bool head) {
    y += kChoiceRow_pt;
    TextStyle style{.size_pt = head ? 8.0 : 9.5, .bold = bold};
    if (head) style.ink = ink::kSecondWords;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const bool left = i < 2;
      const double x = box.left + kAt[i] * box.width();
      canvas.label({x, y - 3.0}, cells[i], style, left ? Anchor::left : Anchor::right);
    }
  };
  row({"stations", "turns", "readings", "minutes", "A", "B", "C", "D", "E", "largest"}, false,
      true);
  for (const SwingChoice& c : plan.choices) {
    std::vector<std::string> cells{std::to_string(c.stations), c.both_turns ? "both ways" : "once",
                                   std::to_string(c.readings), number_words(c.minutes, 0)};
    for (const double half : c.half_95_deg) cells.push_back(number_words(half, 1));
    cells.push_back(fmt::format("{}{} to {}", c.chosen ? "this plan: " : "",
                                number_words(c.worst_95_deg.first, 1),
                                number_words(c.worst_95_deg.second, 1)));
    row(cells, c.chosen, false);
  }
  canvas.line({box.left, y}, {box.right, y}, {ink::kRule, kHair_pt, Dash::solid});
  flow.skip(kApart_pt);
}

void opening(SheetFlow& flow, const SwingPlan& plan) {
  PageCanvas& canvas = flow.canvas();
  const Paragraph sentence{.text = plan.sentence,
                           .style = {.size_pt = 13.0, .condensed = false},
                           .bold = figures_in(plan.sentence),
                           .max_lines = 4,
                           .line_height = 1.22};
  const double width = flow.room().width();
  PageBox box = flow.take(canvas.paragraph_height(width, sentence) + 7.0);
  canvas.paragraph({box.left, box.top}, width, sentence);
  const Framed safety{
      .title = "Before anything moves", .text = in_one(plan.cautions), .size_pt = 10.0};
  const double height = framed_height(canvas, width, safety);
  box = flow.take(height);
  draw_framed(canvas, {box.left, box.top, box.right, box.top + height}, safety);
  flow.skip(kApart_pt);
}

void all_stops(SheetFlow& flow, const SwingPlan& plan) {
  PageCanvas& canvas = flow.canvas();
  bool begun = false;
  for (const SwingStop& stop : plan.stops) {
    const double height = swing_stop_height(canvas, flow.room().width(), stop);
    const bool fresh = flow.need(height + (begun ? 0.0 : 60.0));
    if (!begun || fresh) swing_stop_heads(canvas, flow.take(kSwingStopHeads_pt));
    begun = true;
    swing_stop_row(canvas, flow.take(height), stop);
  }
  flow.skip(kApart_pt);
}

Result<PageRecord> draw(const SwingPlan& plan, const SheetContext& context, PageFormat format,
                        std::size_t pages) {
  const std::string of = context.aircraft.empty() ? "" : ", " + context.aircraft;
  auto opened = PageCanvas::open(format, context.letter ? kLetter : kA4,
                                 {"Plan of a swing" + of, context.day}, pages);
  if (!opened) return opened.error();
  PageCanvas& canvas = opened.value();
  std::size_t page = 0;
  SheetFlow flow{canvas, [&] {
                   if (page > 0) canvas.next_page();
                   PageBox room = frame_sheet(canvas, "Plan of a swing", context, ++page, pages);
                   room.top += 9.0;
                   return room;
                 }};
  opening(flow, plan);
  flow.list(paper_list("Before the first mark", plan.before));
  flow.list(paper_list("On each mark", plan.at_each));
  choice_table(flow, plan);
  all_stops(flow, plan);
  flow.list(paper_list("To mind", plan.remarks));
  flow.list(paper_list("The bands follow from", plan.assumptions));
  const PageBox last = flow.take(kSignatures_pt + 4.0);
  signature_lines(canvas, last.bottom);
  return canvas.finish();
}

}  // namespace

Result<PageRecord> draw_swing_plan_sheet(const SwingPlan& plan, const SheetContext& context,
                                         PageFormat format) {
  return draw_numbered(
      [&](PageFormat as, std::size_t pages) { return draw(plan, context, as, pages); }, format);
}

Result<std::string> swing_plan_sheet_pdf(const SwingPlan& plan, const SheetContext& context) {
  return bytes_of(draw_swing_plan_sheet(plan, context, PageFormat::pdf));
}

Result<std::string> swing_plan_sheet_svg(const SwingPlan& plan, const SheetContext& context) {
  return bytes_of(draw_swing_plan_sheet(plan, context, PageFormat::svg));
}

}  // namespace qn
