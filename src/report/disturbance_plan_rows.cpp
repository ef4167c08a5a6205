// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_plan_rows.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "report/figure_words.h"
#include "vocab/mark.h"

namespace qn {
namespace {

// Read at arm's length by someone who holds a switch: nothing in a line is smaller than 13 pt.
constexpr double kName_pt = 14.0, kMore_pt = 13.0;
constexpr double kPad_pt = 4.0, kMoreGap_pt = 3.5;
constexpr double kBoxHeight_pt = 22.0;
constexpr double kNumber_w = 31.0, kTime_w = 50.0, kBox_w = 70.0, kTick_w = 30.0, kGap = 5.0;
constexpr double kFramePad_pt = 7.0, kFrameApart_pt = 5.0;
constexpr double kHeading_pt = 27.0;

struct Columns {
  double number, name, hold, rest, on, off, tick;  // left sides; times end before the next

  explicit Columns(double left, double right) {
    tick = right - kTick_w + 8.0;
    off = tick - 8.0 - kGap - kBox_w;
    on = off - kGap - kBox_w;
    rest = on - kGap - kTime_w;
    hold = rest - kTime_w;
    number = left;
    name = left + kNumber_w;
  }
};

std::string seconds_words(double seconds) {
  if (seconds <= 0.0) return "";
  return seconds <= 180.0 ? number_words(seconds, 0) + " s" : duration_words(seconds);
}

Paragraph name_words(const PlanRow& row) {
  const std::string joint = row.state.empty() ? "" : ", ";
  return {.text = row.name + joint + row.state,
          .style = {.size_pt = kName_pt},
          .bold = {{0, row.name.size()}},
          .max_lines = 2,
          .line_height = 1.2};
}

Paragraph more_words(const PlanRow& row) {
  return {.text = row.more,
          .style = {.size_pt = kMore_pt, .ink = ink::kSecondWords},
          .max_lines = 24,
          .line_height = 1.22};
}

Paragraph caution_words(const PlanRow& row) {
  return {.text = row.name + ": " + row.more,
          .style = {.size_pt = kMore_pt},
          .bold = {{0, row.name.size() + 1}},
          .max_lines = 20,
          .line_height = 1.25};
}

/// A short second line goes behind the name.
PlanRow shortened(PageCanvas& canvas, double width_pt, PlanRow row);

double name_width(double left, double right) {
  const Columns c{left, right};
  return c.hold - c.name - kGap;
}

/// The second line has all the room below the boxes.
double more_width(double left, double right) { return right - left - kNumber_w; }

PlanRow shortened(PageCanvas& canvas, double width_pt, PlanRow row) {
  if (row.more.empty()) return row;
  PlanRow joined = row;
  joined.state += (joined.state.empty() ? "" : " · ") + row.more;
  joined.more.clear();
  Paragraph words = name_words(joined);
  words.max_lines = 1;
  return canvas.paragraph_fits(name_width(0.0, width_pt), words) ? joined : row;
}

PlanRow helper_row(const std::string& names, const std::string& state, double wait_s) {
  PlanRow row;
  row.kind = PlanRow::Kind::helper;
  row.name = names;
  row.state = state;
  row.rest = seconds_words(wait_s);
  return row;
}

std::string set_name(const std::string& device) {
  if (device == kEverything) return "Everything at once";
  return "Phase " + device.substr(kPhasePrefix.size());
}

std::string more_of(const PlanStep& step) {
  std::vector<std::string> parts;
  if (!step.members.empty()) parts.push_back(fmt::format("{}", fmt::join(step.members, ", ")));
  if (step.transit_s > 0.0) {
    parts.push_back(fmt::format("moves {}", seconds_words(step.transit_s)));
  }
  if (!step.members.empty() && step.why.find("last and") != std::string::npos) {
    parts.push_back(step.why);
  }
  if (step.optional) parts.emplace_back(step.members.empty() ? "if fitted" : "may be skipped");
  return fmt::format("{}", fmt::join(parts, " · "));
}

PlanRow step_row(const PlanStep& step) {
  PlanRow row;
  row.number = std::to_string(step.number);
  const bool set = !step.members.empty();
  row.name = set ? set_name(step.device) : step.device;
  row.state = set ? "" : step.state;
  row.more = more_of(step);
  row.hold = seconds_words(step.dwell_s);
  row.rest = seconds_words(step.rest_s);
  row.on_box = row.off_box = true;
  return row;
}

PlanRow heading_row(const DisturbancePlan& plan, const PlanStep& step) {
  PlanRow row;
  row.kind = PlanRow::Kind::heading;
  row.with_next = true;
  if (step.pass > plan.passes) {
    row.name = "At the end: several at once";
  } else {
    row.name = fmt::format("Pass {} of {}", step.pass, plan.passes);
    row.state = step.pass == 1   ? "each once"
                : step.pass == 2 ? "each again, in another order"
                                 : "those that need more";
  }
  return row;
}

/// `last` is the last step that the caution of `step` is for.
PlanRow caution_row(const PlanStep& step, std::size_t last) {
  PlanRow row;
  row.kind = PlanRow::Kind::caution;
  row.name = last > step.number ? fmt::format("Before steps {} to {}", step.number, last)
                                : fmt::format("Before step {}", step.number);
  row.more = step.caution;
  row.with_next = true;
  return row;
}

std::size_t last_of_group(const DisturbancePlan& plan, std::size_t first) {
  std::size_t last = first;
  while (last + 1 < plan.steps.size() && plan.steps[last + 1].caution.empty() &&
         plan.steps[last + 1].group == plan.steps[first].group) {
    ++last;
  }
  return plan.steps[last].number;
}

void time_label(PageCanvas& canvas, double right, double baseline, const std::string& words,
                bool bold) {
  canvas.label({right, baseline}, words, {.size_pt = kName_pt, .bold = bold}, Anchor::right,
               kTime_w - 2.0);
}

void draw_heading(PageCanvas& canvas, const PageBox& box, const PlanRow& row) {
  const double baseline = box.bottom - 8.0;
  const TextStyle bold{.size_pt = 15.0, .condensed = false, .bold = true};
  canvas.label({box.left, baseline}, row.name, bold, Anchor::left, box.width());
  const double used = canvas.label_width(row.name, bold) + 10.0;
  if (!row.state.empty() && used < box.width()) {
    canvas.label({box.left + used, baseline}, row.state,
                 {.size_pt = kMore_pt, .ink = ink::kSecondWords}, Anchor::left, box.width() - used);
  }
  canvas.line({box.left, box.bottom - 1.5}, {box.right, box.bottom - 1.5},
              {ink::kWords, kLine_pt, Dash::solid});
}

void draw_caution(PageCanvas& canvas, const PageBox& box, const PlanRow& row) {
  const PageBox frame{box.left + 1.0, box.top + kFrameApart_pt, box.right - 1.0,
                      box.bottom - kFrameApart_pt};
  canvas.frame(frame, {ink::kWords, 1.6, Dash::solid});
  canvas.paragraph({frame.left + kFramePad_pt, frame.top + kFramePad_pt},
                   frame.width() - 2.0 * kFramePad_pt, caution_words(row));
}

void draw_time_box(PageCanvas& canvas, double left, double top) {
  canvas.frame({left, top, left + kBox_w, top + kBoxHeight_pt},
               {ink::kOutline, kLine_pt, Dash::solid});
}

}  // namespace

std::vector<PlanRow> plan_rows(const DisturbancePlan& plan) {
  std::vector<PlanRow> rows;
  PlanRow start = helper_row("Start the recording", "", plan.first_rest_s);
  start.on_box = true;
  rows.push_back(start);
  std::size_t pass = 0;
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const PlanStep& step = plan.steps[i];
    if (step.pass != pass) rows.push_back(heading_row(plan, step));
    pass = step.pass;
    if (!step.caution.empty()) rows.push_back(caution_row(step, last_of_group(plan, i)));
    const std::string needed = fmt::format("{}", fmt::join(step.also_on, ", "));
    if (!needed.empty() && step.lead_s > 0.0) {
      rows.push_back(helper_row(needed, "on", step.lead_s));
      rows.back().on_box = rows.back().with_next = true;
    }
    rows.push_back(step_row(step));
    if (!needed.empty() && step.trail_s > 0.0) {
      rows.back().with_next = true;
      rows.push_back(helper_row(needed, "off", step.trail_s));
      rows.back().off_box = true;
    }
  }
  PlanRow end = helper_row("End the recording", "", 0.0);
  end.off_box = true;
  rows.push_back(end);
  return rows;
}

double plan_row_heads(PageCanvas& canvas, const PageBox& box) {
  const Columns c{box.left, box.right};
  const TextStyle style{.size_pt = 9.5, .ink = ink::kSecondWords};
  const double baseline = box.top + 10.0;
  canvas.label({c.number, baseline}, "step", style);
  canvas.label({c.name, baseline}, "device, state", style);
  canvas.label({c.rest - kGap, baseline}, "hold", style, Anchor::right);
  canvas.label({c.on - kGap - 2.0, baseline}, "then rest", style, Anchor::right);
  canvas.label({c.on, baseline}, "on at", style);
  canvas.label({c.off, baseline}, "off at", style);
  canvas.label({box.right, baseline}, "skipped", style, Anchor::right);
  canvas.line({box.left, box.top + 14.0}, {box.right, box.top + 14.0},
              {ink::kWords, kLine_pt, Dash::solid});
  return box.top + 14.5;
}

double plan_row_height(PageCanvas& canvas, double width_pt, const PlanRow& row) {
  switch (row.kind) {
    case PlanRow::Kind::heading: return kHeading_pt;
    case PlanRow::Kind::caution:
      return 2.0 * kFrameApart_pt + 2.0 * kFramePad_pt +
             canvas.paragraph_height(width_pt - 2.0 - 2.0 * kFramePad_pt, caution_words(row));
    default: break;
  }
  const PlanRow line = shortened(canvas, width_pt, row);
  const double name = canvas.paragraph_height(name_width(0.0, width_pt), name_words(line));
  double height = 2.0 * kPad_pt + std::max(kBoxHeight_pt, name);
  if (!line.more.empty()) {
    height += kMoreGap_pt + canvas.paragraph_height(more_width(0.0, width_pt), more_words(line));
  }
  return height;
}

void draw_plan_row(PageCanvas& canvas, const PageBox& box, const PlanRow& whole) {
  if (whole.kind == PlanRow::Kind::heading) return draw_heading(canvas, box, whole);
  if (whole.kind == PlanRow::Kind::caution) return draw_caution(canvas, box, whole);
  const PlanRow row = shortened(canvas, box.width(), whole);
  const Columns c{box.left, box.right};
  const double top = box.top + kPad_pt;
  const double baseline = top + 16.0;
  canvas.label({c.name - 9.0, baseline}, row.number, {.size_pt = kName_pt, .bold = true},
               Anchor::right, kNumber_w - 9.0);
  const Paragraph name = name_words(row);
  const double width = name_width(box.left, box.right);
  const double name_height = canvas.paragraph_height(width, name);
  const double row_height = std::max(kBoxHeight_pt, name_height);
  canvas.paragraph({c.name, top + (row_height - name_height) / 2.0}, width, name);
  time_label(canvas, c.rest - kGap, baseline, row.hold, true);
  time_label(canvas, c.on - kGap - 2.0, baseline, row.rest, false);
  if (row.on_box) draw_time_box(canvas, c.on, top);
  if (row.off_box) draw_time_box(canvas, c.off, top);
  if (row.kind == PlanRow::Kind::step) {
    constexpr double kTick = 15.0;
    const double tick_top = top + (kBoxHeight_pt - kTick) / 2.0;
    canvas.frame({box.right - kTick - 1.0, tick_top, box.right - 1.0, tick_top + kTick},
                 {ink::kOutline, kLine_pt, Dash::solid});
  }
  if (!row.more.empty()) {
    canvas.paragraph({c.name, top + row_height + kMoreGap_pt}, more_width(box.left, box.right),
                     more_words(row));
  }
  canvas.line({box.left, box.bottom}, {box.right, box.bottom}, {ink::kRule, kHair_pt, Dash::solid});
}

}  // namespace qn
