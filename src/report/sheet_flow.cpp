// SPDX-License-Identifier: Apache-2.0
#include "report/sheet_flow.h"

#include "report/sheet_columns.h"
#include "report/sheet_frame.h"

namespace qn {

bool SheetFlow::need(double height_pt) {
  if (fresh_ || room_.height() >= height_pt) return false;
  room_ = begin_sheet_();
  fresh_ = true;
  return true;
}

PageBox SheetFlow::take(double height_pt) {
  need(height_pt);
  fresh_ = false;
  const PageBox taken{room_.left, room_.top, room_.right, room_.top + height_pt};
  room_.top += height_pt;
  return taken;
}

void SheetFlow::list(const TextList& list) {
  if (list.items.empty()) return;
  constexpr double kPad = 1.8;  // above and below an entry's words
  const auto head = [&](const std::string& title) {
    section_head(*canvas_, take(kSectionHead_pt), title);
  };
  bool begun = false;
  for (const ListItem& item : list.items) {
    const std::string joint = item.lead.empty() || item.rest.empty() ? "" : ": ";
    const Paragraph words{.text = item.lead + joint + item.rest,
                          .style = {.size_pt = 8.0},
                          .bold = {{0, item.lead.size()}},
                          .max_lines = 40,
                          .line_height = 1.27};
    const double height = canvas_->paragraph_height(room_.width(), words) + 2.0 * kPad;
    if (!begun) need(kSectionHead_pt + height);
    if (!begun) head(list.title);
    if (begun && need(height)) head(list.title + ", continued");
    begun = true;
    const PageBox row = take(height);
    canvas_->paragraph({row.left, row.top + kPad}, row.width(), words);
    canvas_->line({row.left, row.bottom}, {row.right, row.bottom},
                  {ink::kRule, kHair_pt, Dash::solid});
  }
  skip(kApart_pt);
}

}  // namespace qn
