// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <vector>

#include "report/page_canvas.h"
#include "report/sheet_text.h"

namespace qn {

/// Blocks under one another over as many sheets as they need; no block breaks across sheets.
class SheetFlow {
 public:
  /// `begin_sheet` goes to the next page, draws what stands around it and returns the room.
  SheetFlow(PageCanvas& canvas, std::function<PageBox()> begin_sheet)
      : canvas_{&canvas}, begin_sheet_{std::move(begin_sheet)}, room_{begin_sheet_()} {}

  PageCanvas& canvas() { return *canvas_; }
  const PageBox& room() const { return room_; }
  /// Whether nothing stands on the sheet in hand.
  bool fresh() const { return fresh_; }

  /// Room for a block of that height, on a new sheet when this one is full.
  PageBox take(double height_pt);
  /// Goes to a new sheet when less than that is left. returns  whether it did
  bool need(double height_pt);
  void skip(double height_pt) { room_.top += height_pt; }

  /// Nothing is shortened, except an entry that is longer than a sheet.
  void list(const TextList& list);

 private:
  PageCanvas* canvas_;
  std::function<PageBox()> begin_sheet_;
  PageBox room_;
  bool fresh_ = true;
};

}  // namespace qn
