// SPDX-License-Identifier: Apache-2.0
#include "cli/swing_more_text.h"

#include <fmt/format.h>

#include "cli/folded_text.h"

namespace qn {
namespace {

std::string change_table(const SwingChange& c) {
  std::string out = "\n         before    after   change   95 % band of the change\n";
  for (std::size_t j = 0; j < 5; ++j) {
    if (!c.told[j]) continue;
    out += fmt::format("  {}    {:+7.1f}  {:+7.1f}  {:+7.1f}   {:+.1f} to {:+.1f}\n", "ABCDE"[j],
                       c.before_deg[j], c.after_deg[j], c.change_deg[j],
                       c.change_deg[j] - c.change_half_95_deg[j],
                       c.change_deg[j] + c.change_half_95_deg[j]);
  }
  return out;
}

std::string forecast_text(const IronForecast& forecast, const SwingField& field) {
  std::string out =
      fmt::format("\n  Moved to {} (dip {:.0f} deg, here {:.0f} deg)\n", field.there_place,
                  field.there->dip().in_deg(), field.here.dip().in_deg());
  if (!forecast.known) return out + listed("Unknown: " + forecast.why_not + ".");
  out += "  indicated     here     there, 95 %\n";
  for (const ForecastPoint& p : forecast.points) {
    out += fmt::format("     {:03.0f}      {:+6.1f}   {:+6.1f} to {:+6.1f}\n", p.indicated_deg,
                       p.here_deg, p.lo_deg, p.hi_deg);
  }
  out +=
      listed(std::string{to_word(forecast.verdict.state)} + ": " + forecast.verdict.because + ".");
  for (const std::string& remark : forecast.remarks) out += listed(remark);
  return out;
}

}  // namespace

std::string swing_loads_text(const SwingDocument& document) {
  if (document.swing.loads.empty()) return "";
  std::string out = "\nWhat the loads do\n";
  for (const LoadsEffect& effect : document.swing.loads) out += listed(effect.sentence);
  return out;
}

std::string swing_before_text(const SwingDocument& document) {
  if (!document.before) return "";
  const SwingComparison& comparison = document.before->comparison;
  std::string out = "\nBefore (" + document.before->source.stations_name + ") and after\n";
  for (const SwingChange& c : comparison.compasses) {
    out += listed(c.sentence);
    if (c.compared) out += change_table(c) + "\n";
  }
  for (const std::string& line : comparison.on_every_heading) out += listed(line);
  for (const std::string& name : comparison.gone) {
    out += listed("Only the earlier swing has " + name + ".");
  }
  out += listed(
      "The north of the rose is counted in both: with the same marks the change of A is known "
      "better than its band says.");
  return out;
}

std::string swing_iron_text(const SwingDocument& document, std::size_t compass) {
  if (!document.field) return "";
  const SwingField& field = *document.field;
  const SwingIron& iron = field.iron[compass];
  std::string out =
      "\n" + listed(fmt::format("Iron (+-: 95 %), in H {:.1f} uT and Z {:.1f} uT: {}",
                                field.here.horizontal_uT, field.here.down_uT, field.here.source));
  if (!iron.known) {
    out += listed("Unknown: " + iron.why_not + ".");
  } else {
    const auto row = [&](const char* what, const IronPart& part, int decimals) {
      out += fmt::format("    {:<44} {:+9.{}f} +- {:.{}f}\n", what, part.value, decimals,
                         1.96 * part.sigma, decimals);
    };
    row("ahead, permanent and vertical iron, uT", iron.ahead_uT, 2);
    row("to the right, permanent and vertical iron, uT", iron.right_uT, 2);
    row("soft iron, fore-aft less across, (a - e)/2", iron.soft_length, 4);
    row("soft iron, askew, (b + d)/2", iron.soft_cross, 4);
    row("soft iron, turning, or lubber line, (d - b)/2", iron.soft_turn, 4);
    for (const std::string& remark : iron.remarks) out += listed(remark);
  }
  if (field.there) out += forecast_text(field.forecasts[compass], field);
  return out;
}

}  // namespace qn
