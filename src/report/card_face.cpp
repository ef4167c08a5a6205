// SPDX-License-Identifier: Apache-2.0
#include "report/card_face.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/figure_words.h"

namespace qn {
namespace {

// Read from half a metre in turbulence: 13.5 pt is 24 minutes of arc there.
constexpr double kFigure_pt = 13.5, kSecond_pt = 10.5, kHead_pt = 6.8, kSmall_pt = 6.6;
constexpr double kRow_pt = 17.6, kHeads_pt = 18.0, kTitle_pt = 15.0;
constexpr double kSide_mm = 4.0, kTop_mm = 2.6, kBottom_mm = 2.4, kBetween_mm = 5.0;
// FOR, STEER and one more column, with air; below this the lines stand in one column.
constexpr double kHalf_pt = 78.0, kMoreColumn_pt = 30.0;

double mm(double millimetres) { return millimetres * kPointsPerMillimetre; }

/// The parts of a card: how many columns of lines, and where everything begins.
struct CardLayout {
  std::size_t columns = 1, rows = 0;
  double left = 0.0, width = 0.0, column_width = 0.0;

  CardLayout(double width_pt, const CorrectionCard& card) {
    left = mm(kSide_mm);
    width = width_pt - 2.0 * left;
    const double one = kHalf_pt + kMoreColumn_pt * static_cast<double>(card.columns.size() - 1);
    columns = width >= 2.0 * one + mm(kBetween_mm) ? 2 : 1;
    rows = (card.rows.size() + columns - 1) / columns;
    column_width = columns == 2 ? (width - mm(kBetween_mm)) / 2.0 : std::min(width, 1.9 * one);
  }
  double column_left(std::size_t column) const {
    if (columns == 1) return left + 0.5 * (width - column_width);
    return left + static_cast<double>(column) * (column_width + mm(kBetween_mm));
  }
};

std::string or_line(const std::string& text, const char* line) {
  return text.empty() ? line : text;
}

// Remarks go on the card as long as all of its words take no more than so many lines.
constexpr int kMostLines = 14;
constexpr double kLineHeight = 1.25;

/// remarks  how many of them go on the card
std::string conditions(const CardFace& face, std::size_t remarks) {
  std::string out = "Magnetic headings. Level flight. Engine " +
                    or_line(face.engine, "..............") + ". Radio " +
                    or_line(face.radio, "........") + ".\nSwung " +
                    or_line(day_words(face.day), "....................") + ", " +
                    or_line(face.place, "..............................") + ".";
  if (!face.card.verdict.empty()) out += "\n" + paper_words(face.card.verdict);
  for (std::size_t i = 0; i < remarks; ++i) out += "\n" + paper_words(face.card.remarks[i]);
  if (remarks < face.card.remarks.size()) out += "\nMore is said with the card.";
  return out;
}

Paragraph foot_of(const CardFace& face, std::size_t remarks) {
  return {.text = conditions(face, remarks),
          .style = {.size_pt = kSmall_pt},
          .line_height = kLineHeight};
}

std::size_t remarks_on_card(PageCanvas& canvas, double width_pt, const CardFace& face) {
  const double room = kMostLines * kSmall_pt * kLineHeight + 0.5;
  std::size_t remarks = face.card.remarks.size();
  while (remarks > 0 && canvas.paragraph_height(width_pt, foot_of(face, remarks)) > room) --remarks;
  return remarks;
}

Paragraph foot_words(PageCanvas& canvas, double width_pt, const CardFace& face) {
  return foot_of(face, remarks_on_card(canvas, width_pt, face));
}

std::string capitals(std::string text) {
  for (char& c : text) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  return text;
}

std::string for_words(double deg) {
  const int whole = static_cast<int>(std::lround(deg)) % 360;
  if (whole % 90 == 0) return std::string{"NESW"[whole / 90]};
  return fmt::format("{:03d}", whole);
}

std::string steer_words(double deg) {
  return fmt::format("{:03d}", static_cast<int>(std::lround(deg)) % 360);
}

/// Right sides of STEER and of the further column.
double steer_right(double left, double width, std::size_t states) {
  return states > 1 ? left + 0.64 * width : left + width - 3.0;
}

void draw_heads(PageCanvas& canvas, double left, double width, double bottom,
                const CorrectionCard& card) {
  const TextStyle style{.size_pt = kHead_pt};
  const std::size_t states = card.columns.size();
  canvas.label({left + 3.0, bottom - 3.0}, "FOR", style);
  const double right = steer_right(left, width, states);
  canvas.label({right, bottom - 3.0}, "STEER", style, Anchor::right);
  if (states > 1) {
    const double room = 0.5 * width;
    canvas.label({right, bottom - 11.0}, card.columns[0], style, Anchor::right, room);
    canvas.label({left + width - 3.0, bottom - 11.0}, card.columns[1], style, Anchor::right, room);
    canvas.label({left + width - 3.0, bottom - 3.0}, "STEER", style, Anchor::right);
  } else if (!card.columns[0].empty()) {
    canvas.label({right, bottom - 11.0}, card.columns[0], style, Anchor::right);
  }
  canvas.line({left, bottom}, {left + width, bottom}, {ink::kWords, 0.6, Dash::solid});
}

void draw_lines(PageCanvas& canvas, const CardLayout& at, std::size_t column, double top,
                const CorrectionCard& card) {
  const double left = at.column_left(column);
  const double width = at.column_width;
  const std::size_t states = card.columns.size();
  for (std::size_t r = 0; r < at.rows; ++r) {
    const std::size_t k = column * at.rows + r;
    if (k >= card.rows.size()) break;
    const double bottom = top + kRow_pt * static_cast<double>(r + 1);
    const double baseline = bottom - 4.2;
    canvas.label({left + 3.0, baseline}, for_words(card.rows[k].for_deg), {.size_pt = kFigure_pt});
    canvas.label({steer_right(left, width, states), baseline},
                 steer_words(card.rows[k].steer[0].steer_deg),
                 {.size_pt = kFigure_pt, .bold = true}, Anchor::right);
    if (states > 1) {
      canvas.label({left + width - 3.0, baseline}, steer_words(card.rows[k].steer[1].steer_deg),
                   {.size_pt = kSecond_pt}, Anchor::right);
    }
    if (r + 1 < at.rows) {
      canvas.line({left, bottom}, {left + width, bottom}, {ink::kOutline, 0.35, Dash::solid});
    }
  }
}

constexpr double kSign_pt = 17.0;

void draw_foot(PageCanvas& canvas, const PageBox& box, double top, const CardFace& face) {
  const double left = box.left + mm(kSide_mm), right = box.right - mm(kSide_mm);
  canvas.line({left, top}, {right, top}, {ink::kWords, kLine_pt, Dash::solid});
  canvas.paragraph({left, top + 2.5}, right - left, foot_words(canvas, right - left, face));
  const TextStyle style{.size_pt = kSmall_pt};
  const double baseline = box.bottom - mm(kBottom_mm) - 2.6;
  const double middle = left + 0.5 * (right - left);
  canvas.label({left, baseline}, face.by.empty() ? "by" : "by " + face.by, style, Anchor::left,
               middle - left - 6.0);
  canvas.line({left, baseline + 2.6}, {middle - 6.0, baseline + 2.6},
              {ink::kWords, 0.35, Dash::solid});
  canvas.label({middle, baseline}, "signed", style);
  canvas.line({middle, baseline + 2.6}, {right, baseline + 2.6}, {ink::kWords, 0.35, Dash::solid});
}

}  // namespace

std::vector<std::string> beside_card(PageCanvas& canvas, double width_pt, const CardFace& face) {
  const CardLayout at{width_pt, face.card};
  const auto on = static_cast<std::ptrdiff_t>(remarks_on_card(canvas, at.width, face));
  return {face.card.remarks.begin() + on, face.card.remarks.end()};
}

double card_height_pt(PageCanvas& canvas, double width_pt, const CardFace& face) {
  const CardLayout at{width_pt, face.card};
  const double foot = canvas.paragraph_height(at.width, foot_words(canvas, at.width, face));
  return mm(kTop_mm) + kTitle_pt + kHeads_pt + kRow_pt * static_cast<double>(at.rows) + 3.0 + foot +
         kSign_pt + mm(kBottom_mm);
}

void draw_card(PageCanvas& canvas, const PageBox& box, const CardFace& face) {
  const CorrectionCard& card = face.card;
  CardLayout at{box.width(), card};
  const double left = box.left + at.left, right = left + at.width;
  at.left += box.left;
  double y = box.top + mm(kTop_mm);
  const TextStyle title{.size_pt = 10.0, .condensed = false, .bold = true};
  const TextStyle small{.size_pt = 8.0};
  const double aircraft = face.aircraft.empty()
                              ? 0.0
                              : std::min(canvas.label_width(face.aircraft, small), 0.4 * at.width);
  canvas.label({left, y + 9.5}, capitals(card.compass), title, Anchor::left,
               at.width - aircraft - (aircraft > 0.0 ? 6.0 : 0.0));
  if (aircraft > 0.0) {
    canvas.label({right, y + 9.5}, face.aircraft, small, Anchor::right, aircraft + 0.5);
  }
  y += kTitle_pt;
  canvas.line({left, y - 1.5}, {right, y - 1.5}, {ink::kWords, kLine_pt, Dash::solid});
  for (std::size_t c = 0; c < at.columns; ++c) {
    draw_heads(canvas, at.column_left(c), at.column_width, y + kHeads_pt, card);
    draw_lines(canvas, at, c, y + kHeads_pt, card);
  }
  draw_foot(canvas, box, y + kHeads_pt + kRow_pt * static_cast<double>(at.rows) + 1.0, face);
}

}  // namespace qn
