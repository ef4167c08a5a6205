// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_table.h"

#include <algorithm>

#include "report/plot_axes.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"
#include "report/verdict_mark.h"

namespace qn {
namespace {

constexpr double kHeads_pt = 21.0;
constexpr double kRow_pt = 19.6;
constexpr double kIndent_pt = 17.0;
constexpr const char* kCaption = "small: 1 sigma, 95 % band · tilted: to 30° bank, 15° pitch";

/// Right ends of the columns of figures.
struct TableColumns {
  double left = 0.0, name_right = 0.0;
  std::array<double, 3> field{};
  double error = 0.0, worst_at = 0.0, tilted = 0.0, per_ampere = 0.0, repeats = 0.0;
  double verdict_left = 0.0, right = 0.0;
};

TableColumns columns_of(const PageBox& box) {
  const double right = box.right, verdict_left = right - 57.0;
  double x = verdict_left - 6.0;
  TableColumns columns;
  columns.left = box.left;
  columns.verdict_left = verdict_left;
  columns.right = right;
  const auto before = [&x](double width) {
    const double end = x;
    x -= width;
    return end;
  };
  columns.repeats = before(24.0);
  columns.per_ampere = before(49.0);
  columns.tilted = before(50.0);
  columns.worst_at = before(29.0);
  columns.error = before(51.0);
  for (const std::size_t axis : {2U, 1U, 0U}) columns.field[axis] = before(35.0);
  columns.name_right = x - 4.0;
  return columns;
}

TextStyle name_style() { return {.size_pt = 8.6, .bold = true}; }
TextStyle small() { return {.size_pt = 7.2, .ink = ink::kSecondWords}; }

Paragraph remark_of(const TableRow& row) {
  return {.text = row.remark,
          .style = {.size_pt = 7.6, .ink = ink::kSecondWords},
          .max_lines = 12,
          .line_height = 1.25};
}

double remark_height(PageCanvas& canvas, double width_pt, const TableRow& row) {
  if (row.remark.empty()) return 0.0;
  return canvas.paragraph_height(width_pt - kIndent_pt, remark_of(row)) + 3.0;
}

void draw_heads(PageCanvas& canvas, const PageBox& box) {
  const TableColumns columns = columns_of(box);
  const double first = box.top + 8.6, second = box.top + 17.2;
  const auto head = [&](double right, const char* name, const char* unit) {
    canvas.label({right, first}, name, axis_words(), Anchor::right);
    canvas.label({right, second}, unit, small(), Anchor::right);
  };
  canvas.label({columns.left + kIndent_pt, first}, "device", axis_words());
  canvas.label({columns.left + kIndent_pt, second}, "state", small());
  head(columns.field[0], "x", "µT");
  head(columns.field[1], "y", "µT");
  head(columns.field[2], "z", "µT");
  head(columns.error, "level", "worst");
  head(columns.worst_at, "near", "mag.");
  head(columns.tilted, "tilted", "worst");
  head(columns.per_ampere, "per A", "µT");
  head(columns.repeats, "times", "");
  canvas.label({columns.verdict_left, first}, "verdict", axis_words());
  canvas.line({box.left, box.bottom}, {box.right, box.bottom},
              {ink::kWords, kHair_pt, Dash::solid});
}

void draw_row(PageCanvas& canvas, const PageBox& box, const TableRow& row) {
  const TableColumns columns = columns_of(box);
  const double first = box.top + 8.8, second = box.top + 16.8;
  const TextStyle figure{.size_pt = 8.2};
  const auto cell = [&](double right, double width, const TableCell& words,
                        const TextStyle& style) {
    canvas.label({right, first}, words.figure, style, Anchor::right, width);
    canvas.label({right, second}, words.under, small(), Anchor::right, width);
  };
  const double name_width = columns.name_right - columns.left - kIndent_pt;
  canvas.label({columns.left, first}, row.number, {.size_pt = 8.2, .bold = true});
  canvas.label({columns.left + kIndent_pt, first}, row.name, name_style(), Anchor::left,
               name_width);
  canvas.label({columns.left + kIndent_pt, row.name.empty() ? first : second}, row.state,
               row.name.empty() ? figure : small(), Anchor::left, name_width);
  for (std::size_t i = 0; i < 3; ++i) cell(columns.field[i], 33.0, row.field[i], figure);
  cell(columns.error, 49.0, row.error, name_style());
  canvas.label({columns.worst_at, first}, row.worst_at, figure, Anchor::right);
  cell(columns.tilted, 48.0, row.tilted, figure);
  cell(columns.per_ampere, 47.0, row.per_ampere, figure);
  canvas.label({columns.repeats, first}, row.repeats, figure, Anchor::right);
  verdict_mark(canvas, {columns.verdict_left, first}, row.verdict, 7.4);
  if (!row.remark.empty()) {
    canvas.paragraph({box.left + kIndent_pt, box.top + kRow_pt}, box.width() - kIndent_pt,
                     remark_of(row));
  }
  if (row.closes) {
    canvas.line({box.left, box.bottom}, {box.right, box.bottom},
                {ink::kRule, kHair_pt, Dash::solid});
  }
}

}  // namespace

void flow_table(SheetFlow& flow, const std::string& title, const std::vector<TableRow>& rows) {
  if (rows.empty()) return;
  const auto height_of = [&](const TableRow& row) {
    return kRow_pt + remark_height(flow.canvas(), flow.room().width(), row) + 1.0;
  };
  const auto heads = [&](const std::string& words) {
    section_head(flow.canvas(), flow.take(kSectionHead_pt), words, kCaption);
    draw_heads(flow.canvas(), flow.take(kHeads_pt));
  };
  flow.need(kSectionHead_pt + kHeads_pt + height_of(rows.front()));
  heads(title);
  const TableColumns columns = columns_of(flow.room());
  const double name_width = columns.name_right - columns.left - kIndent_pt;
  std::string device;
  for (const TableRow& row : rows) {
    TableRow shown = row;
    if (!row.name.empty()) device = row.name;
    if (flow.canvas().label_width(row.name, name_style()) > name_width) {
      shown.remark = row.name + (row.remark.empty() ? "." : ". " + row.remark);  // once in full
    }
    const double height = height_of(shown);
    if (flow.need(height)) {
      heads(title + ", continued");
      if (shown.name.empty()) shown.name = device;  // a state keeps its device on every sheet
    }
    draw_row(flow.canvas(), flow.take(height), shown);
  }
  flow.skip(kApart_pt);
}

}  // namespace qn
