// SPDX-License-Identifier: Apache-2.0
#include "cli/swing_text.h"

#include <fmt/format.h>

#include <cmath>

#include "cli/folded_text.h"
#include "cli/swing_more_text.h"

namespace qn {
namespace {

std::string title_of(const SwingCompass& compass) {
  return compass.name + (compass.loads.empty() ? "" : ", loads " + compass.loads);
}

std::string coefficient_table(const SwingCompass& compass) {
  std::string out = "\n       deg  1 sigma     95 % band\n";
  for (std::size_t j = 0; j < 5; ++j) {
    const char letter = "ABCDE"[j];
    if (!compass.supported[j]) {
      out += fmt::format("  {}   not told by these headings\n", letter);
      continue;
    }
    out += fmt::format("  {} {:+7.2f}  {:7.2f}  {:+7.2f} to {:+7.2f}\n", letter,
                       compass.curve.coefficients_deg[j], compass.sigma_deg[j],
                       compass.band_95_deg[j].first, compass.band_95_deg[j].second);
  }
  return out;
}

std::string curve_table(const SwingCompass& compass) {
  std::string out = "\n  indicated  deviation     95 % band\n";
  for (std::size_t k = 0; k < compass.points.size(); k += 3) {
    const SwingPoint& p = compass.points[k];
    out += fmt::format("     {:03.0f}       {:+6.1f}   {:+6.1f} to {:+6.1f}\n", p.indicated_deg,
                       p.deviation_deg, p.lo_deg, p.hi_deg);
  }
  return out;
}

// Without a minus before a nought.
std::string signed_tenths(double deg) {
  return fmt::format("{:+6.1f}", std::fabs(deg) < 0.05 ? 0.0 : deg);
}

// What was read beside what the curve leaves of it; "less A" is the residual of a worksheet.
std::string reading_table(const SwingCompass& compass) {
  const auto& means = compass.by_means;
  std::string out =
      fmt::format("\n  station  indicated  deviation{}   residual\n", means ? "   less A" : "");
  for (std::size_t i = 0; i < compass.observed.size(); ++i) {
    const SwingObserved& o = compass.observed[i];
    out += fmt::format("   {:05.1f}     {:05.1f}     {} ", o.station_deg, o.indicated_deg,
                       signed_tenths(o.deviation_deg));
    if (means) out += "   " + signed_tenths(means->less_a_deg[i]);
    out += fmt::format("     {}{}\n", signed_tenths(compass.residuals_deg[i]),
                       o.used ? "" : "  left out");
  }
  return out;
}

std::string means_line(const SwingCompass& compass) {
  if (!compass.by_means) return "";
  std::string out = "By the means of a worksheet, to compare:";
  for (std::size_t j = 0; j < 5; ++j) {
    if (!compass.by_means->told[j]) continue;
    out += fmt::format(" {} {:+.2f}", "ABCDE"[j], compass.by_means->coefficients_deg[j]);
  }
  return listed(out + fmt::format(" deg ({} headings).", compass.by_means->headings));
}

std::string fit_line(const SwingCompass& compass) {
  std::string out = fmt::format("  Scatter of a reading {:.1f} deg (1 sigma)", compass.noise_deg);
  if (compass.hysteresis_deg) {
    out += fmt::format(".\n  Clockwise less counterclockwise {:+.1f} +- {:.1f} deg (95 %)",
                       *compass.hysteresis_deg, 1.96 * compass.hysteresis_sigma_deg);
  }
  return out + ".\n";
}

std::string compass_text(const SwingCompass& compass) {
  std::string out = "\n" + title_of(compass) + "\n";
  if (compass.solved) {
    out += coefficient_table(compass) + curve_table(compass) + reading_table(compass) + "\n" +
           fit_line(compass) + means_line(compass);
  }
  if (!compass.gross.empty()) out += "\n  Left out, wrong by the others' word\n";
  for (const DoubtfulReading& r : compass.gross) out += listed(r.what);
  if (!compass.suspects.empty()) out += "\n  One of these is probably wrong\n";
  for (const DoubtfulReading& r : compass.suspects) out += listed(r.what);
  if (!compass.remarks.empty()) out += "\n";
  for (const std::string& remark : compass.remarks) out += listed(remark);
  if (!compass.verdict.do_next.empty()) out += listed("Next: " + compass.verdict.do_next + ".");
  return out;
}

std::string whole_degrees(double deg) {
  const double whole = std::round(deg);
  return fmt::format("{:03.0f}", whole >= 360.0 ? 0.0 : whole);
}

std::string blank_or(const std::string& text) { return text.empty() ? "____________" : text; }

std::string one_card(const CorrectionCard& card) {
  std::string out = fmt::format("\n{}\n\n   FOR", card.compass);
  for (const std::string& column : card.columns) {
    out += fmt::format("   STEER {:<20}", column.empty() ? "" : "(" + column + ")");
  }
  out += "\n      ";
  for (std::size_t k = 0; k < card.columns.size(); ++k)
    out += fmt::format("        {:<21}", "(95 %)");
  out += "\n";
  for (const CardRow& row : card.rows) {
    out += fmt::format("   {:03.0f}", row.for_deg);
    for (const CardSteer& s : row.steer) {
      const double half = 0.5 * (s.steer_95_deg.second - s.steer_95_deg.first);
      out += fmt::format("    {}  +- {:<15.1f}", whole_degrees(s.steer_deg), half);
    }
    out += "\n";
  }
  out += "\n";
  for (const auto* list : {&card.verdicts, &card.remarks, &card.beside}) {
    for (const std::string& line : *list) out += listed(line);
  }
  return out;
}

}  // namespace

std::string swing_text(const SwingDocument& document) {
  std::string out = folded(document.swing.sentence) + "\n";
  for (std::size_t i = 0; i < document.swing.compasses.size(); ++i) {
    out += compass_text(document.swing.compasses[i]) + swing_iron_text(document, i);
  }
  out += swing_loads_text(document) + swing_before_text(document);
  const std::vector<BoxNote> boxes = box_notes(document);
  if (!boxes.empty()) out += "\nCorrected inside its own box\n";
  for (const BoxNote& note : boxes) out += listed(note.sentence);
  out += "\nHow it was read\n";
  for (const std::string& line : document.source.how_read) out += listed(line);
  for (const std::string& line : document.swing.remarks) out += listed(line);
  out += "\nAssumed or given\n";
  for (const std::string& line : document.swing.assumptions) out += listed(line);
  return without_trailing_spaces(out);
}

std::string card_text(const CardDocument& document) {
  const SwingSource& swing = document.swing.source;
  std::string out = "Correction card: to make good FOR (magnetic), hold STEER (as indicated)\n";
  for (const CorrectionCard& card : document.cards) out += one_card(card);
  out += fmt::format("\n  In level flight. Engine {}. Radio {}.\n", blank_or(document.engine),
                     blank_or(document.radio));
  out += fmt::format("  Aircraft {}  Place {}  Date {}\n", blank_or(swing.aircraft),
                     blank_or(swing.place), blank_or(swing.day));
  out += fmt::format("  Swung by {}  Signature ________________\n\n", blank_or(document.by));
  out += listed(document.worksheet_rule ? "STEER is FOR less the deviation at FOR (worksheet rule)."
                : document.a_removed    ? "FOR = STEER + (deviation(STEER) less A)."
                                        : "FOR = STEER + deviation(STEER), A included.");
  if (document.a_removed)
    out += listed("A is left out: lubber line or sensor was turned by it (--a-removed).");
  for (const std::string& line : swing.how_read) out += listed(line);
  out += listed("Not for navigation until verified in flight.");
  return without_trailing_spaces(out);
}

}  // namespace qn
