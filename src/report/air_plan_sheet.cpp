// SPDX-License-Identifier: Apache-2.0
#include "report/air_plan_sheet.h"

#include <fmt/format.h>

#include <utility>

#include "report/air_leg_rows.h"
#include "report/figure_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_flow.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"

namespace qn {
namespace {

void before_take_off(SheetFlow& flow, const AirPlan& plan) {
  PageCanvas& canvas = flow.canvas();
  const Framed safety{
      .title = "Before you start", .text = paper_words(in_one(plan.cautions)), .size_pt = 11.0};
  const double width = flow.room().width();
  const PageBox box = flow.take(framed_height(canvas, width, safety));
  draw_framed(canvas, box, safety);
  flow.skip(kApart_pt);
}

std::string will_tell(const AirPlan& plan) {
  std::string out = "1 sigma, degrees:";
  for (std::size_t j = 0; j < plan.sigma_deg.size(); ++j) {
    out += fmt::format(" {} {}{}", "ABCDE"[j], number_words(plan.sigma_deg[j], 1),
                       j + 1 < plan.sigma_deg.size() ? "," : ".");
  }
  return out + fmt::format(
                   " The curve where it is known worst: {}° (as many legs once around: {}°). The "
                   "wind along its worst axis: {} kt.",
                   number_words(plan.curve_sigma_deg, 1), number_words(plan.even_sigma_deg, 1),
                   number_words(plan.wind_sigma_kt, 1));
}

Result<PageRecord> draw_plan(const AirPlan& plan, bool tracks_true, const SheetContext& context,
                             PageFormat format, std::size_t pages) {
  const std::string what = "Plan of a check in the air";
  const std::string of = context.aircraft.empty() ? "" : ", " + context.aircraft;
  auto opened =
      PageCanvas::open(format, context.letter ? kLetter : kA4, {what + of, context.day}, pages);
  if (!opened) return opened.error();
  PageCanvas& canvas = opened.value();
  std::size_t page = 0;
  SheetFlow flow{canvas, [&] {
                   if (page > 0) canvas.next_page();
                   PageBox room = frame_sheet(canvas, what, context, ++page, pages);
                   room.top += 9.0;
                   return room;
                 }};
  before_take_off(flow, plan);
  air_plan_rows(flow, plan.legs, tracks_true);
  TextList tells{"What this will tell"};
  tells.items.push_back({"", will_tell(plan)});
  for (const std::string& line : plan.remarks) tells.items.push_back({"", paper_words(line)});
  flow.list(tells);
  flow.list({"The bands follow from", {{"", paper_words(in_one(plan.assumptions))}}});
  return canvas.finish();
}

}  // namespace

Result<PageRecord> draw_air_plan_sheet(const AirPlan& plan, bool tracks_true,
                                       const SheetContext& context, PageFormat format) {
  return draw_numbered(
      [&](PageFormat as, std::size_t pages) {
        return draw_plan(plan, tracks_true, context, as, pages);
      },
      format);
}

Result<std::string> air_plan_sheet_pdf(const AirPlan& plan, bool tracks_true,
                                       const SheetContext& context) {
  return bytes_of(draw_air_plan_sheet(plan, tracks_true, context, PageFormat::pdf));
}

Result<std::string> air_plan_sheet_svg(const AirPlan& plan, bool tracks_true,
                                       const SheetContext& context) {
  return bytes_of(draw_air_plan_sheet(plan, tracks_true, context, PageFormat::svg));
}

}  // namespace qn
