// SPDX-License-Identifier: Apache-2.0
#include "cli/disturbance_plan_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/folded_text.h"
#include "vocab/mark.h"

namespace qn {
namespace {

constexpr std::size_t kNameColumns = 40;

std::string indented(const std::string& text, std::size_t spaces) {
  const std::string margin(spaces, ' ');
  std::string out = margin;
  for (const char c : folded(text, kTerminalColumns - spaces)) {
    out += c;
    if (c == '\n') out += margin;
  }
  return out + "\n";
}

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

/// To a number of columns, cut with "..." when it is wider; letters outside ASCII count one each.
std::string fitted(const std::string& text, std::size_t columns) {
  std::size_t width = 0, cut = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (continues_character(text[i])) continue;
    if (width == columns - 3) cut = i;
    ++width;
  }
  if (width > columns) return text.substr(0, cut) + "...";
  return text + std::string(columns - width, ' ');
}

std::string seconds(double s) { return s > 0.0 ? fmt::format("{:g} s", s) : ""; }

std::string line(const std::string& number, const std::string& what, double hold_s, double rest_s) {
  return fmt::format("{:>4}  {}{:>10}{:>10}\n", number, fitted(what, kNameColumns), seconds(hold_s),
                     seconds(rest_s));
}

std::string name_of(const PlanStep& step) {
  if (step.device == kEverything) return "Everything at once";
  if (!step.members.empty()) return "Phase " + step.device.substr(kPhasePrefix.size());
  return step.device + ", " + step.state;
}

std::string pass_heading(const DisturbancePlan& plan, std::size_t pass) {
  if (pass > plan.passes) return "\nAt the end: several at once\n";
  return fmt::format("\nPass {} of {}{}\n", pass, plan.passes,
                     pass == 1   ? ": each once"
                     : pass == 2 ? ": each again, in another order"
                                 : ": those that need more");
}

std::string step_text(const PlanStep& step) {
  std::string out;
  if (!step.caution.empty()) {
    out += indented(fmt::format("Before step {}: {}", step.number, step.caution), 2);
  }
  const std::string needed = fmt::format("{}", fmt::join(step.also_on, ", "));
  if (step.lead_s > 0.0) out += line("", needed + ", on", 0.0, step.lead_s);
  out += line(std::to_string(step.number), name_of(step), step.dwell_s, step.rest_s);
  if (!step.members.empty()) {
    out += indented(fmt::format("{}", fmt::join(step.members, ", ")), 8);
  }
  std::string more = step.why;
  if (step.transit_s > 0.0) {
    more = fmt::format("wait {:g} s while it moves, each way; {}", step.transit_s, more);
  }
  if (step.optional) more += step.members.empty() ? "; if fitted" : "; may be skipped";
  out += indented(more, 8);
  if (step.trail_s > 0.0) out += line("", needed + ", off", 0.0, step.trail_s);
  return out;
}

std::string list(const char* title, const std::vector<std::string>& items) {
  if (items.empty()) return "";
  std::string out = fmt::format("\n{}\n", title);
  for (const std::string& item : items) {
    std::string text = indented(item, 4);
    text[2] = '-';
    out += text;
  }
  return out;
}

}  // namespace

std::string disturbance_plan_text(const PlanDocument& document) {
  const DisturbancePlan& plan = document.plan;
  std::string out = folded(plan.sentence) + "\n\nBefore anything moves\n";
  out += indented(plan.safety, 2);
  out += "\nBattery\n" + indented(plan.battery_advice, 2);
  out += fmt::format("\n{:>4}  {}{:>10}{:>10}\n", "step", fitted("device, state", kNameColumns),
                     "hold", "then rest");
  out += line("", "Start the recording", 0.0, plan.first_rest_s);
  std::size_t pass = 0;
  for (const PlanStep& step : plan.steps) {
    if (step.pass != pass) out += pass_heading(plan, step.pass);
    pass = step.pass;
    out += step_text(step);
  }
  out += "\n" + line("", "End the recording", 0.0, 0.0);
  std::vector<std::string> expected;
  for (const PlannedState& s : plan.states) {
    expected.push_back(fmt::format("{}, {}: {} visits, half-width {:.2f} deg{}", s.device, s.state,
                                   s.visits, s.half_width.in_deg(),
                                   s.enough ? "" : ", not a tenth of the limit"));
  }
  out += list("Expected (95 %, all visits together)", expected);
  out += list("To mind", plan.remarks);
  std::vector<std::string> assumed = plan.assumptions;
  assumed.push_back(
      fmt::format("Limit {:g} deg: {}.", plan.limit.value.in_deg(), plan.limit.basis));
  assumed.push_back(
      fmt::format("Horizontal field {:.1f} uT: {}.", plan.earth.horizontal_uT, plan.earth.source));
  out += list("The times follow from", assumed);
  std::string trimmed;  // the columns leave spaces at the ends of lines
  for (const char c : out) {
    while (c == '\n' && !trimmed.empty() && trimmed.back() == ' ') trimmed.pop_back();
    trimmed += c;
  }
  return trimmed;
}

}  // namespace qn
