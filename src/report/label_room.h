// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "report/page_canvas.h"

namespace qn {

/// A curve in one or more unbroken parts.
using Lines = std::vector<std::vector<PagePoint>>;

/// Names curves on the plot itself, at places that no other line or word needs.
class LabelRoom {
 public:
  LabelRoom(PageCanvas& canvas, const PageBox& plot) : canvas_{&canvas}, plot_{plot} {}

  void avoid(const Lines& lines);
  void avoid(const PageBox& box) { boxes_.push_back(box); }

  /// Puts the words above or below one of the line's points, close to it but where there is room.
  /// Nothing is written where the plot is too narrow for the words.
  void name(const std::string& words, Ink colour, const Lines& line);

 private:
  double room_of(const PageBox& box) const;

  PageCanvas* canvas_;
  PageBox plot_;
  std::vector<PagePoint> points_;
  std::vector<PageBox> boxes_;
};

}  // namespace qn
