// SPDX-License-Identifier: Apache-2.0
#include "report/sensor_fit_sheet.h"

#include <algorithm>
#include <exception>
#include <string>
#include <utility>

#include "report/drawn_sheet.h"
#include "report/sensor_fit_evidence.h"
#include "report/sensor_fit_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"

namespace qn {
namespace {

/// The framed caution and, after it, the slip with the next step.
class Closing {
 public:
  Closing(PageCanvas& canvas, const SensorFit& fit, double width_pt)
      : canvas_{&canvas}, caution_{sensor_fit_caution()}, slip_{next_step(fit)} {
    const double half = left_part({0.0, 0.0, width_pt, 0.0}, 0.5).width();
    slip_.max_lines = 4;
    if (!framed_fits(canvas, half, slip_)) {
      slip_.size_pt = 8.0;
      slip_.max_lines = 5;
    }
    height_pt_ =
        std::max(framed_height(canvas, half, caution_), framed_height(canvas, half, slip_));
  }
  double height_pt() const { return height_pt_; }
  void draw(const PageBox& room) const {
    const PageBox row{room.left, room.top, room.right, room.top + height_pt_};
    draw_framed(*canvas_, left_part(row, 0.5), caution_);
    draw_framed(*canvas_, right_part(row, 0.5), slip_);
  }

 private:
  PageCanvas* canvas_;
  Framed caution_, slip_;
  double height_pt_ = 0.0;
};

Result<PageRecord> draw(const SensorFit& fit, const SheetContext& context, PageFormat format) {
  const std::string of = context.aircraft.empty() ? "" : ", " + context.aircraft;
  auto opened =
      PageCanvas::open(format, context.letter ? kLetter : kA4, {"Sensor fit" + of, context.day});
  if (!opened) return opened.error();
  PageCanvas& canvas = opened.value();
  PageBox room = frame_sheet(canvas, "Sensor fit", context, 1, 1);
  room.bottom = signature_lines(canvas, room.bottom);
  room.top = draw_opening(canvas, room, {fit.verdict, fit.sentence, recording_facts(fit)});
  const Closing closing{canvas, fit, room.width()};
  if (fit.correction) {
    PageBox last = room;
    last.top = room.bottom - closing.height_pt();
    closing.draw(last);
    room.bottom = last.top - kApart_pt;
    fit_evidence(canvas, room, fit);
  } else {  // what to do is then all there is to say
    room.top += kApart_pt;
    closing.draw(room);
    room.top += closing.height_pt() + 2.0 * kApart_pt;
    evidence_without_correction(canvas, room, fit);
  }
  return canvas.finish();
}

}  // namespace

Result<PageRecord> draw_sensor_fit_sheet(const SensorFit& fit, const SheetContext& context,
                                         PageFormat format) {
  try {
    return draw(fit, context, format);
  } catch (const std::exception& trouble) {  // formatting or memory; ours throw nothing
    return Error{ErrorKind::Io, std::string{"the sheet could not be drawn: "} + trouble.what(),
                 "drawing the sheet", "memory for one page",
                 "free some memory and try again; the JSON holds the same numbers"};
  }
}

Result<std::string> sensor_fit_sheet_pdf(const SensorFit& fit, const SheetContext& context) {
  return bytes_of(draw_sensor_fit_sheet(fit, context, PageFormat::pdf));
}

Result<std::string> sensor_fit_sheet_svg(const SensorFit& fit, const SheetContext& context) {
  return bytes_of(draw_sensor_fit_sheet(fit, context, PageFormat::svg));
}

}  // namespace qn
