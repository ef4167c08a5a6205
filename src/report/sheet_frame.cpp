// SPDX-License-Identifier: Apache-2.0
#include "report/sheet_frame.h"

#include <algorithm>

#include "report/figure_words.h"

namespace qn {
namespace {

constexpr double kSide_pt = 14.0 * kPointsPerMillimetre;
constexpr double kTop_pt = 9.0 * kPointsPerMillimetre;
constexpr double kBottom_pt = 8.0 * kPointsPerMillimetre;
constexpr double kFramePad_pt = 6.0;
constexpr double kFrameTitle_pt = 12.5;

TextStyle small_words() { return {.size_pt = 8.0, .ink = ink::kSecondWords}; }

Paragraph framed_words(const Framed& framed) {
  return {.text = framed.text,
          .style = {.size_pt = framed.size_pt},
          .max_lines = framed.max_lines,
          .line_height = 1.27};
}

}  // namespace

PageBox sheet_margins(PageSize size) {
  return {kSide_pt, kTop_pt, size.width_pt - kSide_pt, size.height_pt - kBottom_pt};
}

double sheet_head(PageCanvas& canvas, const SheetHead& head) {
  const PageBox page = sheet_margins(canvas.size());
  const double baseline = page.top + 11.0;
  const TextStyle right_style{.size_pt = 9.5};
  const TextStyle left_style{.size_pt = 11.0, .bold = true};
  constexpr double kApart = 14.0;
  // What is short leaves its room to the other.
  const double half = (page.width() - kApart) / 2.0;
  const double left_width = canvas.label_width(head.what, left_style);
  const double right_width = canvas.label_width(head.when, right_style);
  const double left_room = std::max(half, page.width() - kApart - right_width);
  const double right_room = std::max(half, page.width() - kApart - left_width);
  canvas.label({page.left, baseline}, head.what, left_style, Anchor::left, left_room);
  canvas.label({page.right, baseline}, head.when, right_style, Anchor::right, right_room);
  for (const double y : {baseline + 6.8, baseline + 8.6}) {
    canvas.line({page.left, y}, {page.right, y}, {ink::kWords, 0.7, Dash::solid});
  }
  return baseline + 9.0;
}

double sheet_foot(PageCanvas& canvas, const SheetFoot& foot) {
  const PageBox page = sheet_margins(canvas.size());
  const double last = page.bottom - 2.5, first = last - 10.6;
  const double top = first - 11.0;
  canvas.line({page.left, top}, {page.right, top}, {ink::kOutline, kHair_pt, Dash::solid});
  canvas.label({page.left, first},
               "Local rules and the licensed person who signs decide. Not for navigation until "
               "verified in flight.",
               small_words(), Anchor::left, page.width() - 130.0);
  canvas.label({page.right, first}, foot.program, small_words(), Anchor::right, 118.0);
  const std::string hash = foot.sha256.empty() ? "" : "sha-256 " + hash_words(foot.sha256);
  const double hash_width = hash.empty() ? 0.0 : canvas.label_width(hash, small_words());
  const double hash_room = std::min(hash_width, page.width() - 60.0);
  if (!foot.recording.empty()) {
    canvas.label({page.left, last}, foot.recording, small_words(), Anchor::left,
                 page.width() - hash_room - 12.0);
  }
  if (!hash.empty()) {
    canvas.label({page.right, last}, hash, small_words(), Anchor::right, hash_room + 0.5);
  }
  return top;
}

double signature_lines(PageCanvas& canvas, double bottom) {
  const PageBox page = sheet_margins(canvas.size());
  constexpr double kApart = 17.0, kRoomToWrite = 19.0;
  const double unit = (page.width() - 2.0 * kApart) / 4.4;
  const double y = bottom - 11.5;
  double left = page.left;
  const auto field = [&](std::string_view name, double share) {
    canvas.line({left, y}, {left + share * unit, y}, {ink::kWords, kLine_pt, Dash::solid});
    canvas.label({left, y + 9.4}, name, small_words());
    left += share * unit + kApart;
  };
  field("name and role", 2.0);
  field("signature", 1.4);
  field("date", 1.0);
  return y - kRoomToWrite;
}

double section_head(PageCanvas& canvas, const PageBox& box, std::string_view title,
                    std::string_view caption) {
  const TextStyle title_style{.size_pt = 10.0, .condensed = false, .bold = true};
  const double baseline = box.top + 9.6;
  const double title_width = std::min(canvas.label_width(title, title_style), box.width());
  canvas.label({box.left, baseline}, title, title_style, Anchor::left, box.width());
  if (!caption.empty() && box.width() - title_width > 40.0) {
    canvas.label({box.right, baseline}, caption, small_words(), Anchor::right,
                 box.width() - title_width - 8.0);
  }
  const double rule = box.top + kSectionHead_pt - 1.5;
  canvas.line({box.left, rule}, {box.right, rule}, {ink::kWords, kLine_pt, Dash::solid});
  return box.top + kSectionHead_pt;
}

bool framed_fits(PageCanvas& canvas, double width_pt, const Framed& framed) {
  return canvas.paragraph_fits(width_pt - 2.0 * kFramePad_pt, framed_words(framed));
}

double framed_height(PageCanvas& canvas, double width_pt, const Framed& framed) {
  return 2.0 * kFramePad_pt + kFrameTitle_pt +
         canvas.paragraph_height(width_pt - 2.0 * kFramePad_pt, framed_words(framed));
}

void draw_framed(PageCanvas& canvas, const PageBox& box, const Framed& framed) {
  const double inset = kLine_pt / 2.0;
  const PageBox edge{box.left + inset, box.top + inset, box.right - inset, box.bottom - inset};
  if (framed.slip) {
    canvas.frame(edge, {ink::kWords, kInkLine_pt, Dash::solid}, 2.2);
  } else {
    canvas.frame(edge, {ink::kWords, kLine_pt, Dash::solid});
  }
  canvas.label({box.left + kFramePad_pt, box.top + kFramePad_pt + 8.0}, framed.title,
               {.size_pt = 9.5, .condensed = false, .bold = true});
  canvas.paragraph({box.left + kFramePad_pt, box.top + kFramePad_pt + kFrameTitle_pt},
                   box.width() - 2.0 * kFramePad_pt, framed_words(framed));
}

}  // namespace qn
