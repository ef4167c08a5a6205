// SPDX-License-Identifier: Apache-2.0
#include "report/swing_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <utility>

#include "report/coefficient_table.h"
#include "report/deviation_plot.h"
#include "report/figure_words.h"
#include "report/honest_bars.h"
#include "report/sheet_columns.h"
#include "report/sheet_flow.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"

namespace qn {
namespace {

constexpr double kCurve_pt = 172.0, kResiduals_pt = 72.0;
constexpr double kSignatures_pt = 31.0;  // what signature_lines takes

std::string name_of(const SwingCompass& c) {
  return c.name + (c.loads.empty() ? "" : ", loads " + c.loads);
}

std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text;
}

std::string sentence_for(const SwingCompass& c) {
  if (!c.solved) return capital(name_of(c)) + ": " + c.verdict.because + ".";
  std::string out = fmt::format("{}: the largest deviation is {}, on {}", capital(name_of(c)),
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
      out += fmt::format("; five coefficients suffice: p = {}", number_words(*c.lack_of_fit_p, 2));
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

TextList texts(const std::string& title, const std::vector<std::string>& lines) {
  TextList list{title};
  for (const std::string& line : lines) list.items.push_back({"", paper_words(line)});
  return list;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += (out.empty() ? "" : " ") + line;
  return out;
}

void next_slip(SheetFlow& flow, const SwingCompass& c) {
  const Framed slip{.title = "Next",
                    .text = c.verdict.do_next.empty()
                                ? "Make the card (`card`), and check it in the air."
                                : capital(c.verdict.do_next) + ".",
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
    verdict.because = paper_words(capital(verdict.because)) + ".";
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
  flow.list(texts("To mind", c.remarks));
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
    if (i < sheet.forecast.size()) flow.list(texts("After a move", {sheet.forecast[i]}));
  }
  flow.list(texts("Before and after", sheet.before));
  flow.list(texts("All compasses together", sheet.swing.remarks));
  flow.list(texts("How it was read, assumed or given",
                  {joined(sheet.how_read), joined(sheet.swing.assumptions)}));
  const PageBox last = flow.take(kSignatures_pt + 4.0);
  signature_lines(canvas, std::max(last.bottom, flow.room().bottom - 4.0));
  return canvas.finish();
}

Result<std::string> bytes_of(Result<PageRecord> drawn) {
  if (!drawn) return drawn.error();
  return std::move(drawn.value().bytes);
}

}  // namespace

Result<PageRecord> draw_swing_sheet(const SwingSheet& sheet, const SheetContext& context,
                                    PageFormat format) {
  try {
    // How many sheets there are is known when they are drawn; their number takes no other room.
    const auto counted = draw(sheet, context, PageFormat::pdf, 1);
    if (!counted) return counted.error();
    return draw(sheet, context, format, counted.value().pages);
  } catch (const std::exception& trouble) {  // formatting or memory; ours throw nothing
    return Error{ErrorKind::Io, std::string{"the sheet could not be drawn: "} + trouble.what(),
                 "drawing the sheet", "memory for a few pages",
                 "free some memory and try again; the JSON holds the same numbers"};
  }
}

Result<std::string> swing_sheet_pdf(const SwingSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_swing_sheet(sheet, context, PageFormat::pdf));
}

Result<std::string> swing_sheet_svg(const SwingSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_swing_sheet(sheet, context, PageFormat::svg));
}

}  // namespace qn
