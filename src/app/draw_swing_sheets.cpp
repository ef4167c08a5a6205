// SPDX-License-Identifier: Apache-2.0
#include "app/solve_swing.h"
#include "report/card_sheet.h"
#include "report/swing_sheet.h"

namespace qn {
namespace {

SheetContext context_of(const SwingSource& from, Paper paper) {
  return {.aircraft = from.aircraft,
          .place = from.place,
          .day = from.day,
          .log_name = from.stations_name,
          .log_sha256 = from.stations_sha256,
          .program_version = from.program_version,
          .letter = paper == Paper::letter};
}

}  // namespace

Result<std::string> swing_sheet(const SwingDocument& document, SheetFormat format, Paper paper) {
  SwingSheet sheet{document.swing, document.source.how_read};
  for (const LoadsEffect& effect : document.swing.loads) sheet.loads.push_back(effect.sentence);
  for (const BoxNote& note : box_notes(document)) sheet.boxes.push_back(note.sentence);
  if (document.before) {
    const SwingComparison& c = document.before->comparison;
    for (const SwingChange& change : c.compasses) sheet.before.push_back(change.sentence);
    sheet.before.insert(sheet.before.end(), c.on_every_heading.begin(), c.on_every_heading.end());
  }
  if (document.field && document.field->there) {
    for (const IronForecast& f : document.field->forecasts) {
      sheet.forecast.push_back(document.field->there_place + ": " + f.verdict.because + ".");
      for (const std::string& remark : f.remarks) sheet.forecast.back() += " " + remark;
    }
  }
  const SheetContext context = context_of(document.source, paper);
  return format == SheetFormat::pdf ? swing_sheet_pdf(sheet, context)
                                    : swing_sheet_svg(sheet, context);
}

Result<std::string> card_sheet(const CardDocument& document, double width_mm, SheetFormat format,
                               Paper paper) {
  CardSheet sheet{document.cards, document.swing.swing, document.engine,
                  document.radio, document.by,          width_mm};
  sheet.how.emplace_back(document.worksheet_rule
                             ? "STEER is FOR less the deviation at FOR (worksheet rule)."
                             : "FOR = STEER + deviation(STEER), A included.");
  if (document.a_removed) {
    sheet.how.back() = document.worksheet_rule
                           ? "STEER is FOR less (deviation at FOR less A): worksheet rule."
                           : "FOR = STEER + deviation(STEER) less A.";
    sheet.how.emplace_back("A is left out: lubber line or sensor was turned by it.");
  }
  const SheetContext context = context_of(document.swing.source, paper);
  return format == SheetFormat::pdf ? card_sheet_pdf(sheet, context)
                                    : card_sheet_svg(sheet, context);
}

}  // namespace qn
