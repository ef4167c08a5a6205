// SPDX-License-Identifier: Apache-2.0
#include "cli/swing_adjust_text.h"

#include <fmt/format.h>

#include "cli/folded_text.h"

namespace qn {
namespace {

std::string turn_table(const SwingAdjustment& a) {
  if (a.turns.empty()) return "";
  std::string out = "\n  on mark   adjuster               reads   set to   takes off\n";
  for (const AdjusterTurn& t : a.turns) {
    const char* name = t.adjuster == 'A'   ? "A  mounting"
                       : t.adjuster == 'B' ? "B  E-W screw"
                                           : "C  N-S screw";
    out += fmt::format("   {:05.1f}    {:<14}{:>8}{:5.1f}    {:05.1f}   {} {:+.1f} deg\n",
                       t.station_deg, name, t.here ? "" : "about ", t.reads_deg, t.set_deg,
                       t.adjuster, -t.change_deg);
  }
  return out;
}

std::string coefficient_rows(const SwingAdjustment& a) {
  std::string out = "\n         now 1 sigma     after 1 sigma\n";
  for (std::size_t j = 0; j < 5; ++j) {
    out += fmt::format("  {}  {:+6.1f}  {:6.1f}   {:+7.1f}  {:6.1f}{}\n", "ABCDE"[j], a.now_deg[j],
                       a.now_sigma_deg[j], a.after_deg[j], a.after_sigma_deg[j],
                       a.told[j] ? "" : "   not told by these readings");
  }
  out += fmt::format("  largest deviation now {:.1f} deg (95 %: {:.1f} to {:.1f})\n",
                     a.worst_now_deg, a.worst_now_95_deg.first, a.worst_now_95_deg.second);
  out += "\n  left on  deviation     95 % band\n";
  for (const DeviationLeft& left : a.left) {
    out += fmt::format("    {:03.0f}      {:+5.1f}   {:+6.1f} to {:+6.1f}\n", left.indicated_deg,
                       left.deviation_deg, left.lo_deg, left.hi_deg);
  }
  return out;
}

}  // namespace

std::string swing_adjust_text(const AdjustDocument& document) {
  const SwingAdjustments& all = document.adjustments;
  std::string out = folded(all.sentence) + "\n";
  for (const SwingAdjustment& a : all.compasses) {
    out += "\n" + a.compass + (a.loads.empty() ? "" : ", loads " + a.loads) + "\n";
    out += turn_table(a) + (a.one_heading ? "" : coefficient_rows(a)) + "\n";
    for (const DoubtfulReading& r : a.doubtful) out += listed(r.what);
    out += listed(std::string{to_word(a.verdict.state)} + ": " + a.verdict.because + ".");
    for (const std::string& remark : a.remarks) out += listed(remark);
    if (!a.verdict.do_next.empty()) out += listed("Next: " + a.verdict.do_next + ".");
  }
  out += "\nMind\n";
  out += listed(
      "Turn with a tool that is not magnetic, take it away before reading, and tap the compass.");
  out += listed(
      "Write what was set into the column set_deg of that row, and ask again after each reading.");
  out += "\nHow it was read\n";
  out += listed(all.rule == AdjustRule::halving
                    ? "Rule: halving, as the trade has it."
                    : "Rule: least squares of all readings; --rule halving gives the trade's.");
  for (const std::string& line : document.source.how_read) out += listed(line);
  for (const std::string& line : all.assumptions) out += listed(line);
  return without_trailing_spaces(out);
}

}  // namespace qn
