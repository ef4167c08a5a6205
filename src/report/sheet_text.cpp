// SPDX-License-Identifier: Apache-2.0
#include "report/sheet_text.h"

#include <algorithm>
#include <utility>

#include "report/figure_words.h"
#include "report/sheet_frame.h"

namespace qn {
namespace {

constexpr double kItemPad_pt = 1.8;  // above and below an entry's words
constexpr double kListsApart_pt = 6.0;
constexpr double kMoreLine_pt = 11.5;

double item_height(double words_pt) { return words_pt + 2.0 * kItemPad_pt; }

}  // namespace

TextList paper_list(const std::string& title, const std::vector<std::string>& lines) {
  TextList list{title};
  for (const std::string& line : lines) list.items.push_back({"", paper_words(line)});
  return list;
}

std::string in_one(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += (out.empty() ? "" : " ") + line;
  return out;
}

ListColumn::ListColumn(PageCanvas& canvas, std::vector<TextList> lists, double width_pt,
                       std::string rest)
    : canvas_{&canvas}, width_pt_{width_pt}, rest_{std::move(rest)} {
  for (TextList& list : lists) {
    if (!list.items.empty()) lists_.push_back(std::move(list));
  }
}

Paragraph ListColumn::words(const ListItem& item, int max_lines) const {
  const std::string joint = item.lead.empty() || item.rest.empty() ? "" : ": ";
  return {.text = item.lead + joint + item.rest,
          .style = {.size_pt = 8.0},
          .bold = {{0, item.lead.size()}},
          .max_lines = max_lines,
          .line_height = 1.27};
}

double ListColumn::list_height(std::size_t list, const Cut& cut) const {
  double height = kSectionHead_pt;
  const std::vector<ListItem>& items = lists_[list].items;
  for (std::size_t i = 0; i < cut.shown[list]; ++i) {
    height += item_height(canvas_->paragraph_height(width_pt_, words(items[i], cut.max_lines)));
  }
  return cut.shown[list] < items.size() ? height + kMoreLine_pt : height;
}

double ListColumn::height(const Cut& cut) const {
  double height = 0.0;
  for (std::size_t i = 0; i < lists_.size(); ++i) {
    height += list_height(i, cut) + (i > 0 ? kListsApart_pt : 0.0);
  }
  return height;
}

ListColumn::Cut ListColumn::uncut() const {
  Cut cut;
  for (const TextList& list : lists_) cut.shown.push_back(list.items.size());
  return cut;
}

bool ListColumn::drop_one(Cut& cut) const {
  std::size_t longest = lists_.size();
  double longest_pt = 0.0;
  for (std::size_t i = 0; i < lists_.size(); ++i) {
    const double height = list_height(i, cut);
    if (cut.shown[i] > 1 && height > longest_pt) {
      longest = i;
      longest_pt = height;
    }
  }
  if (longest == lists_.size()) return false;
  --cut.shown[longest];
  return true;
}

ListColumn::Cut ListColumn::cut_for(double room_pt) const {
  constexpr double kRounding_pt = 0.1;  // room is often exactly what was asked for
  room_pt += kRounding_pt;
  Cut cut = uncut();
  if (height(cut) <= room_pt) return cut;
  cut.max_lines = 3;
  while (height(cut) > room_pt && drop_one(cut)) {
  }
  for (const int fewer : {2, 1}) {
    if (height(cut) > room_pt) cut.max_lines = fewer;
  }
  return cut;
}

double ListColumn::full_height() const { return height(uncut()); }

double ListColumn::least_height() const { return height(cut_for(0.0)); }

double ListColumn::draw(PagePoint at, double room_pt) const {
  const Cut cut = cut_for(room_pt);
  double y = at.y;
  for (std::size_t i = 0; i < lists_.size(); ++i) {
    if (i > 0) y += kListsApart_pt;
    y = section_head(*canvas_, {at.x, y, at.x + width_pt_, y}, lists_[i].title);
    const std::vector<ListItem>& items = lists_[i].items;
    for (std::size_t k = 0; k < cut.shown[i]; ++k) {
      const double used =
          canvas_->paragraph({at.x, y + kItemPad_pt}, width_pt_, words(items[k], cut.max_lines));
      y += item_height(used);
      canvas_->line({at.x, y}, {at.x + width_pt_, y}, {ink::kRule, kHair_pt, Dash::solid});
    }
    if (cut.shown[i] < items.size()) {
      canvas_->label({at.x, y + 8.8},
                     "and " + std::to_string(items.size() - cut.shown[i]) + " more, " + rest_,
                     {.size_pt = 8.0, .ink = ink::kSecondWords, .bold = true});
      y += kMoreLine_pt;
    }
  }
  return y - at.y;
}

}  // namespace qn
