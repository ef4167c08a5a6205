// SPDX-License-Identifier: Apache-2.0
#include "cli/swing_plan_text.h"

#include <fmt/format.h>

#include "cli/folded_text.h"

namespace qn {
namespace {

std::string plan_list(const char* title, const std::vector<std::string>& lines) {
  std::string out = fmt::format("\n{}\n", title);
  for (const std::string& line : lines) out += listed(line);
  return out;
}

std::string plan_choices(const SwingPlan& plan) {
  std::string out = fmt::format(
      "\nHalf widths of the 95 % bands, degrees; last: band of a largest deviation of {:.1f}\n"
      "  stations        readings  minutes    A    B    C    D    E    largest\n",
      plan.planned_worst_deg);
  for (const SwingChoice& c : plan.choices) {
    out += fmt::format("{} {:>3} {:<10} {:>8} {:>8.0f}", c.chosen ? ">" : " ", c.stations,
                       c.both_turns ? "both ways" : "once", c.readings, c.minutes);
    for (const double half : c.half_95_deg) out += fmt::format(" {:>4.1f}", half);
    out += fmt::format("  {:>4.1f} to {:.1f}\n", c.worst_95_deg.first, c.worst_95_deg.second);
  }
  return out;
}

std::string plan_stops(const SwingPlan& plan) {
  std::string out = "\nOrder\n";
  for (const SwingStop& s : plan.stops) {
    if (!s.note.empty()) out += listed(s.note);
    out += fmt::format("  {:>3}  mark {:05.1f}  {}\n", s.number, s.station_deg,
                       s.turn == SwingTurn::counterclockwise ? "ccw" : "cw");
  }
  return out;
}

}  // namespace

std::string swing_plan_text(const SwingPlanDocument& document) {
  const SwingPlan& plan = document.plan;
  std::string out = folded(plan.sentence) + "\n";
  out += plan_list("Before anything moves", plan.cautions);
  out += plan_list("Before the first mark", plan.before);
  out += plan_list("On each mark", plan.at_each);
  out += plan_stops(plan) + plan_choices(plan);
  out += plan_list("To mind", plan.remarks);
  out += plan_list("The bands follow from", plan.assumptions);
  return without_trailing_spaces(out);
}

}  // namespace qn
