// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/swing_card.h"
#include "report/page_canvas.h"

namespace qn {

/// What a card says beside its figures; empty texts leave a line to write on.
struct CardFace {
  const CorrectionCard& card;
  std::string aircraft, place, day;
  std::string engine, radio, by;
};

inline constexpr double kNarrowestCard_mm = 45.0, kWidestCard_mm = 180.0, kUsualCard_mm = 92.0;

/// Of the card's remarks, those that have no room on a card of that width: whole, none of them cut.
std::vector<std::string> beside_card(PageCanvas& canvas, double width_pt, const CardFace& face);

/// True size of a card of that width: figures of 13.5 pt need the height they need.
double card_height_pt(PageCanvas& canvas, double width_pt, const CardFace& face);
/// `box` is as wide as wanted and as high as card_height_pt says.
void draw_card(PageCanvas& canvas, const PageBox& box, const CardFace& face);

}  // namespace qn
