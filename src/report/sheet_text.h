// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "report/page_canvas.h"

namespace qn {

/// One entry of a list on a sheet: a bold beginning and the rest.
struct ListItem {
  std::string lead;
  std::string rest;
};
struct TextList {
  std::string title;
  std::vector<ListItem> items = {};
};

/// Sentences of the program's text output as entries of a list on paper.
TextList paper_list(const std::string& title, const std::vector<std::string>& lines);
/// The same after one another.
std::string in_one(const std::vector<std::string>& lines);

/// Lists under one another, at most as high as the room given. What does not fit is shortened:
/// first long entries to three lines, then lists to their first entries and "and 3 more, see the
/// JSON".
class ListColumn {
 public:
  /// Lists without items are left out. `rest` says where to find what was left out.
  ListColumn(PageCanvas& canvas, std::vector<TextList> lists, double width_pt,
             std::string rest = "see the JSON");

  bool empty() const { return lists_.empty(); }
  /// Height of everything uncut.
  double full_height() const;
  /// Height when shortened as far as it goes.
  double least_height() const;
  /// Draws into the room from `at` down, and returns the height used: at most the larger of
  /// `room_pt` and least_height().
  double draw(PagePoint at, double room_pt) const;

 private:
  struct Cut {
    int max_lines = 0;               // of an entry; 0: all
    std::vector<std::size_t> shown;  // entries of each list
  };
  Paragraph words(const ListItem& item, int max_lines) const;
  double height(const Cut& cut) const;
  double list_height(std::size_t list, const Cut& cut) const;
  Cut uncut() const;
  Cut cut_for(double room_pt) const;
  bool drop_one(Cut& cut) const;

  PageCanvas* canvas_;
  std::vector<TextList> lists_;
  double width_pt_;
  std::string rest_;
};

}  // namespace qn
