// SPDX-License-Identifier: Apache-2.0
#include "report/card_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "report/card_face.h"
#include "report/deviation_plot.h"
#include "report/figure_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_flow.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"
#include "report/sheet_text.h"

namespace qn {
namespace {

constexpr double kCutMark_pt = 14.0, kCutGap_pt = 6.0;
constexpr double kBarHigh_pt = 19.0;  // with its words
constexpr double kBar_pt = 50.0 * kPointsPerMillimetre;
constexpr double kLeastPlot_pt = 80.0, kMostPlot_pt = 170.0;

void cut_marks(PageCanvas& canvas, const PageBox& card) {
  const Stroke stroke{ink::kWords, kHair_pt, Dash::solid};
  for (const double x : {card.left, card.right}) {
    canvas.line({x, card.top - kCutGap_pt - kCutMark_pt}, {x, card.top - kCutGap_pt}, stroke);
    canvas.line({x, card.bottom + kCutGap_pt}, {x, card.bottom + kCutGap_pt + kCutMark_pt}, stroke);
  }
  for (const double y : {card.top, card.bottom}) {
    canvas.line({card.left - kCutGap_pt - kCutMark_pt, y}, {card.left - kCutGap_pt, y}, stroke);
    canvas.line({card.right + kCutGap_pt, y}, {card.right + kCutGap_pt + kCutMark_pt, y}, stroke);
  }
}

void printer_bar(PageCanvas& canvas, double middle_x, double top) {
  const double left = middle_x - kBar_pt / 2.0;
  const double height = 5.0;
  for (int k = 0; k < 5; k += 2) {
    canvas.fill({left + 0.2 * k * kBar_pt, top, left + 0.2 * (k + 1) * kBar_pt, top + height},
                ink::kWords);
  }
  canvas.line({left, top}, {left + kBar_pt, top}, {ink::kWords, 0.4, Dash::solid});
  canvas.line({left, top + height}, {left + kBar_pt, top + height},
              {ink::kWords, 0.4, Dash::solid});
  const TextStyle small{.size_pt = 8.0};
  canvas.label({middle_x, top + height + 10.0},
               "This bar is 50 mm long. If yours is not, print again at 100 %.", small,
               Anchor::middle);
}

std::vector<const SwingCompass*> states_of(const SwingSolution& swing, const CorrectionCard& card) {
  std::vector<const SwingCompass*> out;
  for (const SwingCompass& c : swing.compasses) {
    if (c.solved && c.name == card.compass) out.push_back(&c);
  }
  return out;
}

/// What the card has a column of, in its order.
std::vector<const SwingCompass*> columns_of(const SwingSolution& swing,
                                            const CorrectionCard& card) {
  std::vector<const SwingCompass*> out;
  for (const std::string& column : card.columns) {
    for (const SwingCompass* c : states_of(swing, card)) {
      if ((c->loads.empty() ? "" : "loads " + c->loads) == column) out.push_back(c);
    }
  }
  return out;
}

/// What goes with the card: nothing of it is cut, and none of it is left out.
TextList with_the_card(const CorrectionCard& card, const std::vector<const SwingCompass*>& states,
                       const std::vector<std::string>& no_room, const CardSheet& sheet) {
  TextList list{"With the card"};
  const auto add = [&](const std::string& lead, const std::string& words) {
    list.items.push_back({lead, paper_words(words)});
  };
  for (const std::string& verdict : card.verdicts) add("", verdict);
  for (const std::string& remark : no_room) add("", remark);
  for (const std::string& remark : card.beside) add("", remark);
  for (const SwingCompass* c : states) {
    if (c->verdict.do_next.empty()) continue;
    add(c->loads.empty() ? "Next" : "Next, loads " + c->loads, c->verdict.do_next + ".");
  }
  for (const std::string& text : sheet.how) add("", text);
  add("Swing again",
      "after iron or wiring near the compass has changed, after a shock or lightning, after a move "
      "far north or south, and when this card is a year old (common practice).");
  return list;
}

double list_height(PageCanvas& canvas, const TextList& list, double width) {
  return ListColumn{canvas, {list}, width}.full_height();
}

class CardPages {
 public:
  CardPages(const CardSheet& sheet, const SheetContext& context, PageCanvas& canvas,
            std::size_t pages)
      : sheet_{sheet}, context_{context}, canvas_{canvas}, pages_{pages} {}

  std::optional<Error> draw() {
    SheetFlow flow{canvas_, [&] { return begin_page(); }};
    for (std::size_t i = 0; i < sheet_.cards.size(); ++i) {
      if (i > 0) {
        card_ = i;
        card_begins_ = true;
        flow.need(1e6);
      }
      if (auto wrong = draw_one(flow, sheet_.cards[i])) return wrong;
    }
    return std::nullopt;
  }

 private:
  /// The first page of a card has the lines to sign.
  PageBox begin_page() {
    if (page_ > 0) canvas_.next_page();
    PageBox room = frame_sheet(canvas_, "Correction card · " + sheet_.cards[card_].compass,
                               context_, ++page_, pages_);
    room.top += card_begins_ ? 12.0 : 3.0;
    if (card_begins_) room.bottom = signature_lines(canvas_, room.bottom) - kApart_pt;
    card_begins_ = false;
    return room;
  }

  std::optional<Error> draw_one(SheetFlow& flow, const CorrectionCard& card) const {
    const CardFace face{card,          context_.aircraft, context_.place, context_.day,
                        sheet_.engine, sheet_.radio,      sheet_.by};
    const double width = sheet_.width_mm * kPointsPerMillimetre;
    const double height = card_height_pt(canvas_, width, face);
    const double mark = kCutGap_pt + kCutMark_pt;
    const Paragraph words{
        .text = fmt::format("Cut along the marks. The card is {:.0f} × {:.0f} mm; choose another "
                            "width (--width-mm) before printing if your holder differs. STEER is "
                            "what the compass shows.",
                            sheet_.width_mm, height / kPointsPerMillimetre)};
    const double said = canvas_.paragraph_height(flow.room().width(), words) + 8.0;
    const double whole = said + mark + height + mark + 8.0 + kBarHigh_pt;
    if (whole > flow.room().height()) {
      return Error{ErrorKind::OutOfRange,
                   fmt::format("a card {:.0f} mm wide is {:.0f} mm long, more than the paper has",
                               sheet_.width_mm, height / kPointsPerMillimetre),
                   "option --width-mm", "a width at which the card fits on the sheet",
                   "choose a wider card, or --steps 30"};
    }
    const PageBox taken = flow.take(whole);
    canvas_.paragraph({taken.left, taken.top}, taken.width(), words);
    const double middle = 0.5 * (taken.left + taken.right);
    const double top = taken.top + said + mark;
    const PageBox box{middle - width / 2.0, top, middle + width / 2.0, top + height};
    draw_card(canvas_, box, face);
    cut_marks(canvas_, box);
    printer_bar(canvas_, middle, box.bottom + mark + 8.0);
    flow.skip(kApart_pt);
    draw_below(flow, card, beside_card(canvas_, width, face));
    return std::nullopt;
  }

  /// The plot takes what the words leave, or what it needs at least on this page or the next.
  void draw_below(SheetFlow& flow, const CorrectionCard& card,
                  const std::vector<std::string>& no_room) const {
    const auto states = states_of(sheet_.swing, card);
    const TextList words = with_the_card(card, states, no_room, sheet_);
    const PageBox room = flow.room();
    const double left = room.height() - list_height(canvas_, words, room.width()) -
                        2.0 * kApart_pt - kSectionHead_pt;
    const auto drawn = columns_of(sheet_.swing, card);
    if (!drawn.empty() && left >= kLeastPlot_pt) draw_plot(flow, drawn, left);
    flow.list(words);
    if (!drawn.empty() && left < kLeastPlot_pt) draw_plot(flow, drawn, kMostPlot_pt);
  }

  void draw_plot(SheetFlow& flow, const std::vector<const SwingCompass*>& states,
                 double room) const {
    const PageBox box = flow.take(std::min(room, kMostPlot_pt) + kSectionHead_pt);
    const double top =
        section_head(canvas_, box, "Deviation over heading",
                     "degrees, east positive · ○ clockwise, dot the other way · fill: 95 % band");
    deviation_plot(canvas_, {box.left, top, box.right, box.bottom},
                   {states, states.front()->verdict.limit});
    flow.skip(kApart_pt);
  }

  const CardSheet& sheet_;
  const SheetContext& context_;
  PageCanvas& canvas_;
  std::size_t pages_, page_ = 0, card_ = 0;
  bool card_begins_ = true;
};

Result<PageRecord> draw_cards(const CardSheet& sheet, const SheetContext& context,
                              PageFormat format, std::size_t pages) {
  const std::string of = context.aircraft.empty() ? "" : ", " + context.aircraft;
  auto opened = PageCanvas::open(format, context.letter ? kLetter : kA4,
                                 {"Correction card" + of, context.day}, pages);
  if (!opened) return opened.error();
  if (auto wrong = CardPages{sheet, context, opened.value(), pages}.draw()) return *wrong;
  return opened.value().finish();
}

}  // namespace

Result<PageRecord> draw_card_sheet(const CardSheet& sheet, const SheetContext& context,
                                   PageFormat format) {
  if (!(sheet.width_mm >= kNarrowestCard_mm && sheet.width_mm <= kWidestCard_mm)) {
    return Error{ErrorKind::OutOfRange, fmt::format("a card {:g} mm wide", sheet.width_mm),
                 "option --width-mm",
                 fmt::format("{:g} to {:g} mm", kNarrowestCard_mm, kWidestCard_mm),
                 "measure the holder beside the compass"};
  }
  return draw_numbered(
      [&](PageFormat as, std::size_t pages) { return draw_cards(sheet, context, as, pages); },
      format);
}

Result<std::string> card_sheet_pdf(const CardSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_card_sheet(sheet, context, PageFormat::pdf));
}

Result<std::string> card_sheet_svg(const CardSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_card_sheet(sheet, context, PageFormat::svg));
}

}  // namespace qn
