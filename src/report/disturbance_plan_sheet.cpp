// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_plan_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "report/disturbance_plan_rows.h"
#include "report/figure_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"
#include "report/sheet_pages.h"
#include "report/sheet_text.h"

namespace qn {
namespace {

constexpr double kHeads_pt = 14.5;
constexpr double kSignatures_pt = 31.0;  // what signature_lines takes

/// The library writes uT, which every terminal can show.
std::string with_micro(std::string text) {
  for (std::size_t at = text.find(" uT"); at != std::string::npos; at = text.find(" uT", at)) {
    text.replace(at, 3, " µT");
  }
  return text;
}

/// Which lines stand on which page, counted before the first is drawn.
struct Pages {
  std::vector<PlanRow> rows;
  std::vector<double> heights;
  std::vector<std::size_t> first;  ///< line each page begins with
  bool closing_alone = false;      ///< assumptions and signatures have a page of their own
  std::size_t count() const { return first.size() + (closing_alone ? 1 : 0); }
};

class PlanSheet {
 public:
  PlanSheet(const DisturbancePlan& plan, const SheetContext& context)
      : plan_{plan}, context_{context}, size_{context.letter ? kLetter : kA4} {}

  Result<PageRecord> draw(PageFormat format) {
    auto scratch = PageCanvas::open(PageFormat::svg, size_, {"", ""});
    if (!scratch) return scratch.error();
    // Page numbers do not change the room that anything takes.
    lay_out(scratch.value());
    const std::string of = context_.aircraft.empty() ? "" : ", " + context_.aircraft;
    auto opened =
        PageCanvas::open(format, size_, {"Disturbance plan" + of, context_.day}, pages_.count());
    if (!opened) return opened.error();
    PageCanvas& canvas = opened.value();
    for (std::size_t page = 0; page < pages_.count(); ++page) {
      if (page > 0) canvas.next_page();
      draw_page(canvas, page);
    }
    return canvas.finish();
  }

 private:
  /// Header and footer. returns  the room between them
  PageBox frame_page(PageCanvas& canvas, std::size_t page) const {
    const std::string of = context_.aircraft.empty() ? "" : " · " + context_.aircraft;
    std::string when = day_words(context_.day);
    if (!context_.place.empty()) when += (when.empty() ? "" : " · ") + context_.place;
    when += fmt::format("{}sheet {} of {}", when.empty() ? "" : " · ", page + 1, pages_.count());
    const std::string program =
        context_.program_version.empty() ? "Quietnorth" : "Quietnorth " + context_.program_version;
    PageBox room = sheet_margins(canvas.size());
    room.top = sheet_head(canvas, {"Disturbance plan" + of, when}) + 12.0;
    room.bottom = sheet_foot(canvas, {program, context_.log_name, context_.log_sha256}) - 4.0;
    return room;
  }

  /// What is said once, before the first step. returns  the y below
  double opening(PageCanvas& canvas, const PageBox& room) const {
    double y = room.top;
    Paragraph sentence{.text = plan_.sentence,
                       .style = {.size_pt = 15.0, .condensed = false},
                       .bold = figures_in(plan_.sentence),
                       .max_lines = 3,
                       .line_height = 1.2};
    y += canvas.paragraph({room.left, y}, room.width(), sentence) + 5.0;
    const std::string how =
        "Everything at its reference state, doors as in flight, nobody walking near the sensor. At "
        "each "
        "line: switch, write the time that the recorder shows, hold, switch back, write again, "
        "rest. "
        "What moves is given its time each way before the hold or the rest begins. A wrong or late "
        "switch is no harm when its true time is written. Tick what was skipped.";
    y += canvas.paragraph({room.left, y}, room.width(),
                          {.text = how, .style = {.size_pt = 11.0}, .line_height = 1.28}) +
         5.0;
    y += canvas.paragraph(
             {room.left, y}, room.width(),
             {.text = plan_.battery_advice, .style = {.size_pt = 11.0}, .line_height = 1.28}) +
         7.0;
    const Framed safety{.title = "Before anything moves", .text = plan_.safety, .size_pt = 11.0};
    const double height = framed_height(canvas, room.width(), safety);
    draw_framed(canvas, {room.left, y, room.right, y + height}, safety);
    return y + height + 9.0;
  }

  /// Assumptions and remarks.
  ListColumn closing_lists(PageCanvas& canvas, double width_pt) const {
    TextList remarks{"To mind"}, assumed{"The times follow from"};
    for (const std::string& text : plan_.remarks) remarks.items.push_back({"", text});
    for (const std::string& text : plan_.assumptions)
      assumed.items.push_back({"", with_micro(text)});
    assumed.items.push_back(
        {"Limit", fmt::format("{}, {}; the aim for each state is a half-width of a tenth of it",
                              limit_words(plan_.limit.value), plan_.limit.basis)});
    assumed.items.push_back(
        {"Horizontal field",
         fmt::format("{} µT, {}", number_words(plan_.earth.horizontal_uT, 1), plan_.earth.source)});
    return {canvas, {remarks, assumed}, width_pt};
  }

  void lay_out(PageCanvas& canvas) {
    pages_.rows = plan_rows(plan_);
    PageBox room = frame_page(canvas, 0);
    for (const PlanRow& row : pages_.rows) {
      pages_.heights.push_back(plan_row_height(canvas, room.width(), row));
    }
    const double top = room.top;
    double y = opening(canvas, room) + kHeads_pt;
    pages_.first = {0};
    for (std::size_t i = 0; i < pages_.rows.size(); ++i) {
      // Lines that belong to the next one go to the next page with it.
      double block = pages_.heights[i];
      for (std::size_t k = i; pages_.rows[k].with_next && k + 1 < pages_.rows.size(); ++k) {
        block += pages_.heights[k + 1];
      }
      const bool begun = i > pages_.first.back() || pages_.first.size() == 1;
      const bool chained = i > 0 && pages_.rows[i - 1].with_next;
      const double needed = chained ? pages_.heights[i] : block;
      if (y + needed > room.bottom && begun && i > 0) {
        pages_.first.push_back(i);
        y = top + kHeads_pt;
      }
      y += pages_.heights[i];
    }
    const double closing = closing_lists(canvas, room.width()).full_height() + kSignatures_pt;
    pages_.closing_alone = y + 2.0 * kApart_pt + closing > room.bottom;
  }

  void draw_page(PageCanvas& canvas, std::size_t page) const {
    PageBox room = frame_page(canvas, page);
    if (page < pages_.first.size()) {
      if (page == 0) room.top = opening(canvas, room);
      room.top = plan_row_heads(canvas, room);
      const std::size_t end =
          page + 1 < pages_.first.size() ? pages_.first[page + 1] : pages_.rows.size();
      for (std::size_t i = pages_.first[page]; i < end; ++i) {
        draw_plan_row(canvas, {room.left, room.top, room.right, room.top + pages_.heights[i]},
                      pages_.rows[i]);
        room.top += pages_.heights[i];
      }
      room.top += 2.0 * kApart_pt;
    }
    if (page + 1 < pages_.count()) return;
    room.bottom = signature_lines(canvas, room.bottom);
    closing_lists(canvas, room.width())
        .draw({room.left, room.top}, room.bottom - kApart_pt - room.top);
  }

  const DisturbancePlan& plan_;
  const SheetContext& context_;
  PageSize size_;
  Pages pages_;
};

}  // namespace

Result<PageRecord> draw_disturbance_plan_sheet(const DisturbancePlan& plan,
                                               const SheetContext& context, PageFormat format) {
  return draw_once([&] { return PlanSheet{plan, context}.draw(format); });
}

Result<std::string> disturbance_plan_sheet_pdf(const DisturbancePlan& plan,
                                               const SheetContext& context) {
  return bytes_of(draw_disturbance_plan_sheet(plan, context, PageFormat::pdf));
}

Result<std::string> disturbance_plan_sheet_svg(const DisturbancePlan& plan,
                                               const SheetContext& context) {
  return bytes_of(draw_disturbance_plan_sheet(plan, context, PageFormat::svg));
}

}  // namespace qn
