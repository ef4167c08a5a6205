// SPDX-License-Identifier: Apache-2.0
#include "report/sheet_opening.h"

#include <fmt/format.h>

#include "report/figure_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"
#include "report/verdict_mark.h"

namespace qn {
namespace {

double sentence(PageCanvas& canvas, const PageBox& room, const std::string& text) {
  Paragraph words{.text = text, .bold = figures_in(text), .line_height = 1.2};
  words.style.condensed = false;
  struct Try {
    double size_pt;
    int lines;
  };
  for (const Try& attempt : {Try{15.0, 2}, Try{13.0, 3}, Try{11.0, 4}}) {
    words.style.size_pt = attempt.size_pt;
    words.max_lines = attempt.lines;
    if (canvas.paragraph_fits(room.width(), words)) break;
  }
  return canvas.paragraph({room.left, room.top}, room.width(), words);
}

}  // namespace

PageBox frame_sheet(PageCanvas& canvas, const std::string& what, const SheetContext& context,
                    std::size_t page, std::size_t pages) {
  std::string when = day_words(context.day);
  if (!context.place.empty()) when += (when.empty() ? "" : " · ") + context.place;
  when += fmt::format("{}sheet {} of {}", when.empty() ? "" : " · ", page, pages);
  const std::string of = context.aircraft.empty() ? "" : " · " + context.aircraft;
  const std::string program =
      context.program_version.empty() ? "Quietnorth" : "Quietnorth " + context.program_version;
  PageBox room = sheet_margins(canvas.size());
  room.top = sheet_head(canvas, {what + of, when});
  room.bottom = sheet_foot(canvas, {program, context.log_name, context.log_sha256}) - 4.0;
  return room;
}

double draw_opening(PageCanvas& canvas, const PageBox& within, const SheetOpening& opening) {
  PageBox room = within;
  room.top += 17.0;
  verdict_mark(canvas, {room.left, room.top}, opening.verdict.state, 11.0);
  room.top += 5.5;
  room.top += sentence(canvas, room, opening.sentence) + 4.0;
  const std::string& because = opening.verdict.because;
  if (!because.empty() && because != opening.sentence) {
    room.top +=
        canvas.paragraph(
            {room.left, room.top}, room.width(),
            {.text = because, .style = {.size_pt = 9.5}, .max_lines = 2, .line_height = 1.28}) +
        2.5;
  }
  const Paragraph facts{.text = opening.facts,
                        .style = {.size_pt = 8.0, .ink = ink::kSecondWords},
                        .max_lines = 3,
                        .line_height = 1.3};
  return room.top + canvas.paragraph({room.left, room.top}, room.width(), facts) + kApart_pt;
}

}  // namespace qn
