// SPDX-License-Identifier: Apache-2.0
#include "report/swing_stop_rows.h"

#include <array>
#include <cmath>
#include <string>

#include "report/figure_words.h"

namespace qn {
namespace {

// Read at arm's length by someone at a wing tip.
constexpr double kHeading_pt = 16.0, kTurn_pt = 13.0, kNote_pt = 11.0;
constexpr double kRow_pt = 25.0, kBoxHeight_pt = 20.0;
constexpr double kNumber_w = 26.0, kStation_w = 60.0, kWay_w = 46.0, kGap = 5.0, kPair = 11.0;

/// Left sides and width of the five boxes.
struct Boxes {
  std::array<double, 5> left{};
  double width = 0.0;

  Boxes(double from, double to) {
    const double first = from + kNumber_w + kStation_w + kWay_w;
    width = (to - first - 2.0 * kGap - 2.0 * kPair) / 5.0;
    left[0] = first;
    left[1] = left[0] + width + kPair;
    left[2] = left[1] + width + kGap;
    left[3] = left[2] + width + kPair;
    left[4] = left[3] + width + kGap;
  }
};

std::string mark_words(double deg) {
  const double whole = std::round(deg);
  return std::fabs(deg - whole) < 0.05 ? heading_words(deg) : heading_words(std::floor(deg)) + "½";
}

Paragraph note_words(const SwingStop& stop) {
  return {.text = paper_words(stop.note),
          .style = {.size_pt = kNote_pt, .ink = ink::kSecondWords},
          .max_lines = 3,
          .line_height = 1.2};
}

double note_height(PageCanvas& canvas, double width_pt, const SwingStop& stop) {
  if (stop.note.empty()) return 0.0;
  return canvas.paragraph_height(width_pt - kNumber_w, note_words(stop)) + 3.0;
}

}  // namespace

void swing_stop_heads(PageCanvas& canvas, const PageBox& box) {
  const TextStyle small{.size_pt = 8.0, .ink = ink::kSecondWords};
  const Boxes boxes{box.left, box.right};
  const double upper = box.top + 9.0, lower = box.top + 20.0;
  canvas.label({box.left + kNumber_w, lower}, "mark", small);
  canvas.label({box.left + kNumber_w + kStation_w, lower}, "turn", small);
  canvas.label({boxes.left[0], lower}, "stood on", small);
  canvas.label({boxes.left[1], upper}, "first compass: ............", small);
  canvas.label({boxes.left[1], lower}, "loads off", small);
  canvas.label({boxes.left[2], lower}, "loads on", small);
  canvas.label({boxes.left[3], upper}, "second compass: ..........", small);
  canvas.label({boxes.left[3], lower}, "loads off", small);
  canvas.label({boxes.left[4], lower}, "loads on", small);
  canvas.line({box.left, box.bottom - 1.0}, {box.right, box.bottom - 1.0},
              {ink::kWords, kLine_pt, Dash::solid});
}

double swing_stop_height(PageCanvas& canvas, double width_pt, const SwingStop& stop) {
  return kRow_pt + note_height(canvas, width_pt, stop);
}

void swing_stop_row(PageCanvas& canvas, const PageBox& box, const SwingStop& stop) {
  double top = box.top;
  if (!stop.note.empty()) {
    canvas.paragraph({box.left + kNumber_w, top + 2.0}, box.width() - kNumber_w, note_words(stop));
    top += note_height(canvas, box.width(), stop);
  }
  const double baseline = top + 18.0;
  canvas.label({box.left + kNumber_w - 8.0, baseline}, std::to_string(stop.number),
               {.size_pt = kTurn_pt, .ink = ink::kSecondWords}, Anchor::right);
  canvas.label({box.left + kNumber_w, baseline}, mark_words(stop.station_deg),
               {.size_pt = kHeading_pt, .condensed = false, .bold = true});
  canvas.label({box.left + kNumber_w + kStation_w, baseline},
               stop.turn == SwingTurn::counterclockwise ? "ccw" : "cw", {.size_pt = kTurn_pt});
  const Boxes boxes{box.left, box.right};
  for (const double left : boxes.left) {
    canvas.frame({left + 0.3, top + 2.5, left + boxes.width - 0.3, top + 2.5 + kBoxHeight_pt},
                 {ink::kOutline, kHair_pt, Dash::solid});
  }
  canvas.line({box.left, box.bottom}, {box.right, box.bottom}, {ink::kRule, kHair_pt, Dash::solid});
}

}  // namespace qn
