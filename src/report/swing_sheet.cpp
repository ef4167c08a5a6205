// SPDX-License-Identifier: Apache-2.0
#include "report/swing_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "report/coefficient_table.h"
#include "report/deviation_plot.h"
#include "report/figure_words.h"
#include "report/honest_bars.h"
#include "report/sheet_columns.h"
#include "report/sheet_flow.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"
#include "vocab/letters.h"

namespace qn {
namespace {

constexpr double kCurve_pt = 172.0, kResiduals_pt = 72.0;
constexpr double kSignatures_pt = 31.0;  // what signature_lines takes

std::string name_of(const SwingCompass& c) {
  return c.name + (c.loads.empty() ? "" : ", loads " + c.loads);
}

std::string sentence_for(const SwingCompass& c) {
  if (!c.solved) return capitalised(name_of(c)) + ": " + c.verdict.because + ".";
  std::string out = fmt::format("{}: the largest deviation is {}, on {}", capitalised(name_of(c)),
                                degree_words(Angle::degrees(c.worst_deviation_deg)),
                                heading_words(c.worst_at_deg));
  if (!c.gross.empty()) {
    out += fmt::format("; {} reading{} left out as wrong", c.gross.size(),
                       c.gross.size() == 1 ? " is" : "s are");
  }
  return out + ".";
}

std::string facts_for(const SwingCompass& c) {
  std::string out = fmt::format("{} readings", c.rows.size());
  if (c.solved) {
    out += fmt::format("; scatter of a reading {}", degree_words(Angle::degrees(c.noise_deg)));
    if (c.hysteresis_deg) {
      out +=
          fmt::format("; clockwise less counterclockwise {}° (1 sigma {}°)",
                      number_words(*c.hysteresis_deg, 1), number_words(c.hysteresis_sigma_deg, 1));
    }
    if (c.lack_of_fit_p) {
      out += swing_departs(c)
                 ? std::string{"; five coefficients do not follow the readings (p under 0.01)"}
                 : fmt::format("; five coefficients suffice (p = {})",
                               number_words(*c.lack_of_fit_p, 2));
    }
  }
  return out + ". Deviation is magnetic minus indicated, east positive.";
}

void largest_bar(SheetFlow& flow, const SwingCompass& c) {
  const HonestBar bar{
      .name = "Largest deviation",
      .why = "over all headings",
      .size_95 = {Angle::degrees(c.worst_95_deg.first), Angle::degrees(c.worst_95_deg.second)},
      .estimate = Angle::degrees(c.worst_deviation_deg),
      .verdict = c.verdict.limit ? std::optional{c.verdict.state} : std::nullopt};
  const PageBox box = flow.take(honest_bars_height(1) + 2.0);
  honest_bars(flow.canvas(), {box.left, box.top}, box.width(), {bar}, c.verdict.limit);
  flow.skip(kApart_pt);
}

void curve_and_residuals(SheetFlow& flow, const SwingCompass& c) {
  PageCanvas& canvas = flow.canvas();
  PageBox box = flow.take(kSectionHead_pt + kCurve_pt);
  double top = section_head(
      canvas, box, "Deviation over the indicated heading",
      "degrees · ○ clockwise, dot the other way, dashed ring: left out · fill: 95 % band");
  deviation_plot(canvas, {box.left, top, box.right, box.bottom}, {{&c}, c.verdict.limit});
  flow.skip(kApart_pt);
  box = flow.take(kSectionHead_pt + kResiduals_pt);
  top = section_head(canvas, box, "What the curve leaves",
                     "degrees, observed less fitted · left bar clockwise, right bar the other way");
  deviation_residuals(canvas, {box.left, top, box.right, box.bottom}, c);
  flow.skip(kApart_pt);
}

/// Coefficients on the left, the story of the adjusters on the right.
void numbers_and_story(SheetFlow& flow, const SwingCompass& c) {
  PageCanvas& canvas = flow.canvas();
  TextList story{"What the adjusters can do"};
  for (const std::string& told : c.story) {
    const std::string text = paper_words(told);
    // "B +5.2 and C -3.0 deg: ..." in bold up to the colon.
    const std::size_t colon = text.find(": ");
    if (colon == std::string::npos) {
      story.items.push_back({"", text});
    } else {
      story.items.push_back({text.substr(0, colon), text.substr(colon + 2)});
    }
  }
  const double width = right_part(flow.room(), 0.5).width();
  const ListColumn column{canvas, {story}, width};
  const double height =
      std::max(kSectionHead_pt + kCoefficientTable_pt, column.full_height()) + 2.0;
  const PageBox box = flow.take(height);
  const PageBox left = left_part(box, 0.5);
  const double top =
      section_head(canvas, left, "Coefficients", c.exact() ? "exact, times 57.3" : "");
  coefficient_table(canvas, {left.left, top, left.right, box.bottom}, c);
  column.draw({right_part(box, 0.5).left, box.top}, height);
  flow.skip(kApart_pt);
}

TextList doubts_of(const SwingCompass& c) {
  TextList list{c.gross.empty() ? "One of these is probably wrong" : "Left out as wrong"};
  for (const DoubtfulReading& r : c.gross.empty() ? c.suspects : c.gross) {
    list.items.push_back({"", paper_words(r.what)});
  }
  return list;
}

void next_slip(SheetFlow& flow, const SwingCompass& c) {
  const Framed slip{.title = "Next",
                    .text = c.verdict.do_next.empty()
                                ? "Make the card (`card`), and check it in the air."
                                : capitalised(c.verdict.do_next) + ".",
                    .slip = true,
                    .size_pt = 9.5};
  const double width = flow.room().width();
  const PageBox box = flow.take(framed_height(flow.canvas(), width, slip));
  draw_framed(flow.canvas(), box, slip);
  flow.skip(kApart_pt);
}

void draw_compass(SheetFlow& flow, const SwingCompass& c) {
  Verdict verdict = c.verdict;
  if (c.solved && !verdict.because.empty()) {
    verdict.because = paper_words(capitalised(verdict.because)) + ".";
  }
  const double top =
      draw_opening(flow.canvas(), flow.room(), {verdict, sentence_for(c), facts_for(c)});
  flow.take(top - flow.room().top);
  if (c.solved) {
    largest_bar(flow, c);
    curve_and_residuals(flow, c);
    numbers_and_story(flow, c);
  }
  flow.list(doubts_of(c));
  next_slip(flow, c);
  flow.list(paper_list("To mind", c.remarks));
}

Result<PageRecord> draw(const SwingSheet& sheet, const SheetContext& context, PageFormat format,
                        std::size_t pages) {
  const std::string of = context.aircraft.empty() ? "" : ", " + context.aircraft;
  auto opened =
      PageCanvas::open(format, context.letter ? kLetter : kA4, {"Swing" + of, context.day}, pages);
  if (!opened) return opened.error();
  PageCanvas& canvas = opened.value();
  std::size_t page = 0;
  SheetFlow flow{canvas, [&] {
                   if (page > 0) canvas.next_page();
                   PageBox room = frame_sheet(canvas, "Swing", context, ++page, pages);
                   room.top += page == 1 ? 0.0 : 3.0;
                   return room;
                 }};
  for (std::size_t i = 0; i < sheet.swing.compasses.size(); ++i) {
    if (!flow.fresh()) flow.need(1e6);  // a compass begins a page
    draw_compass(flow, sheet.swing.compasses[i]);
    if (i < sheet.forecast.size()) flow.list(paper_list("After a move", {sheet.forecast[i]}));
  }
  flow.list(paper_list("What the loads do", sheet.loads));
  flow.list(paper_list("Corrected inside its own box", sheet.boxes));
  flow.list(paper_list("Before and after", sheet.before));
  flow.list(paper_list("All compasses together", sheet.swing.remarks));
  flow.list(paper_list("How it was read, assumed or given",
                       {in_one(sheet.how_read), in_one(sheet.swing.assumptions)}));
  const PageBox last = flow.take(kSignatures_pt + 4.0);
  signature_lines(canvas, std::max(last.bottom, flow.room().bottom - 4.0));
  return canvas.finish();
}

}  // namespace

Result<PageRecord> draw_swing_sheet(const SwingSheet& sheet, const SheetContext& context,
                                    PageFormat format) {
  return draw_numbered(
      [&](PageFormat as, std::size_t pages) { return draw(sheet, context, as, pages); }, format);
}

Result<std::string> swing_sheet_pdf(const SwingSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_swing_sheet(sheet, context, PageFormat::pdf));
}

Result<std::string> swing_sheet_svg(const SwingSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_swing_sheet(sheet, context, PageFormat::svg));
}

}  // namespace qn
