// SPDX-License-Identifier: Apache-2.0
#include "report/card_sheet.h"

#include <fmt/format.h>

#include <utility>

#include "report/card_face.h"
#include "report/deviation_plot.h"
#include "report/figure_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"
#include "report/sheet_text.h"

namespace qn {
namespace {

constexpr double kCutMark_pt = 14.0, kCutGap_pt = 6.0;
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

/// returns  the y below
double printer_bar(PageCanvas& canvas, double middle_x, double top) {
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
  return top + height + 14.0;
}

std::vector<const SwingCompass*> states_of(const SwingSolution& swing, const CorrectionCard& card) {
  std::vector<const SwingCompass*> out;
  for (const SwingCompass& c : swing.compasses) {
    if (c.solved && c.name == card.compass) out.push_back(&c);
  }
  return out;
}

TextList notes_of(const std::vector<const SwingCompass*>& states, const CardSheet& sheet) {
  TextList list{"What it rests on"};
  for (const SwingCompass* c : states) {
    const std::string lead = c->loads.empty() ? "" : "loads " + c->loads + ", ";
    list.items.push_back(
        {lead + std::string{to_word(c->verdict.state)}, paper_words(c->verdict.because) + "."});
    if (!c->verdict.do_next.empty())
      list.items.push_back({"Next", paper_words(c->verdict.do_next) + "."});
  }
  for (const std::string& text : sheet.how) list.items.push_back({"", text});
  list.items.push_back({"Swing again",
                        "after iron or wiring near the compass has changed, after a shock or "
                        "lightning, after a move "
                        "far north or south, and when this card is a year old (common practice)."});
  return list;
}

class CardPages {
 public:
  CardPages(const CardSheet& sheet, const SheetContext& context)
      : sheet_{sheet}, context_{context}, size_{context.letter ? kLetter : kA4} {}

  Result<PageRecord> draw(PageFormat format) const {
    const std::string of = context_.aircraft.empty() ? "" : ", " + context_.aircraft;
    auto opened = PageCanvas::open(format, size_, {"Correction card" + of, context_.day},
                                   sheet_.cards.size());
    if (!opened) return opened.error();
    PageCanvas& canvas = opened.value();
    for (std::size_t i = 0; i < sheet_.cards.size(); ++i) {
      if (i > 0) canvas.next_page();
      if (auto wrong = draw_page(canvas, i)) return *wrong;
    }
    return canvas.finish();
  }

 private:
  std::optional<Error> draw_page(PageCanvas& canvas, std::size_t index) const {
    const CorrectionCard& card = sheet_.cards[index];
    PageBox room = frame_sheet(canvas, "Correction card · " + card.compass, context_, index + 1,
                               sheet_.cards.size());
    room.top += 12.0;
    room.bottom = signature_lines(canvas, room.bottom) - kApart_pt;
    const CardFace face{card,          context_.aircraft, context_.place, context_.day,
                        sheet_.engine, sheet_.radio,      sheet_.by};
    const double width = sheet_.width_mm * kPointsPerMillimetre;
    const double height = card_height_pt(canvas, width, face);
    const std::string words = fmt::format(
        "Cut along the marks. The card is {:.0f} × {:.0f} mm; choose another width (--width-mm) "
        "before printing if your holder differs. STEER is what the compass shows.",
        sheet_.width_mm, height / kPointsPerMillimetre);
    room.top += canvas.paragraph({room.left, room.top}, room.width(), {.text = words}) + 8.0;
    room.top += kCutGap_pt + kCutMark_pt;
    if (room.top + height + kCutGap_pt + kCutMark_pt + 30.0 > room.bottom) {
      return Error{ErrorKind::OutOfRange,
                   fmt::format("a card {:.0f} mm wide is {:.0f} mm long, more than the paper has",
                               sheet_.width_mm, height / kPointsPerMillimetre),
                   "option --width-mm", "a width at which the card fits on the sheet",
                   "choose a wider card, or --steps 30"};
    }
    const double middle = 0.5 * (room.left + room.right);
    const PageBox box{middle - width / 2.0, room.top, middle + width / 2.0, room.top + height};
    draw_card(canvas, box, face);
    cut_marks(canvas, box);
    room.top = printer_bar(canvas, middle, box.bottom + kCutGap_pt + kCutMark_pt + 8.0) + kApart_pt;
    draw_below(canvas, room, card);
    return std::nullopt;
  }

  void draw_below(PageCanvas& canvas, PageBox room, const CorrectionCard& card) const {
    const auto states = states_of(sheet_.swing, card);
    const ListColumn notes{canvas, {notes_of(states, sheet_)}, room.width()};
    const double list = notes.least_height();
    const double left = room.height() - list - kApart_pt - kSectionHead_pt;
    if (left >= kLeastPlot_pt && !states.empty()) {
      const double high = std::min({left, kMostPlot_pt,
                                    std::max(kLeastPlot_pt, room.height() - notes.full_height() -
                                                                kApart_pt - kSectionHead_pt)});
      const double top =
          section_head(canvas, room, "Deviation over heading",
                       "degrees, east positive · ○ clockwise, dot the other way · fill: 95 % band");
      deviation_plot(canvas, {room.left, top, room.right, top + high},
                     {states, states.front()->verdict.limit});
      room.top = top + high + kApart_pt;
    }
    notes.draw({room.left, room.top}, room.height());
  }

  const CardSheet& sheet_;
  const SheetContext& context_;
  PageSize size_;
};

}  // namespace

Result<PageRecord> draw_card_sheet(const CardSheet& sheet, const SheetContext& context,
                                   PageFormat format) {
  if (!(sheet.width_mm >= kNarrowestCard_mm && sheet.width_mm <= kWidestCard_mm)) {
    return Error{ErrorKind::OutOfRange, fmt::format("a card {:g} mm wide", sheet.width_mm),
                 "option --width-mm",
                 fmt::format("{:g} to {:g} mm", kNarrowestCard_mm, kWidestCard_mm),
                 "measure the holder beside the compass"};
  }
  return draw_once([&] { return CardPages{sheet, context}.draw(format); });
}

Result<std::string> card_sheet_pdf(const CardSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_card_sheet(sheet, context, PageFormat::pdf));
}

Result<std::string> card_sheet_svg(const CardSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_card_sheet(sheet, context, PageFormat::svg));
}

}  // namespace qn
