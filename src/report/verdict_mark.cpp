// SPDX-License-Identifier: Apache-2.0
#include "report/verdict_mark.h"

namespace qn {

VerdictLook look_of(VerdictState state) {
  switch (state) {
    case VerdictState::within: return {ink::kWithin, ink::kWithinFill, Hatch::level};
    case VerdictState::over: return {ink::kOver, ink::kOverFill, Hatch::slanted};
    case VerdictState::unproven: break;
  }
  return {ink::kUnproven, ink::kUnprovenFill, Hatch::crossed};
}

void verdict_mark(PageCanvas& canvas, PagePoint baseline, VerdictState state, double size_pt) {
  const VerdictLook look = look_of(state);
  // Drawn on a field of 30 by 16 units, as on the screens.
  const double unit = size_pt * 0.075;
  const double top = baseline.y - 0.36 * size_pt - 8.0 * unit;  // centred on small letters
  const auto at = [&](double x, double y) {
    return PagePoint{baseline.x + x * unit, top + y * unit};
  };
  const auto bar = [&](double x0, double x1) {
    return PageBox{at(x0, 0).x, at(0, 4.5).y, at(x1, 0).x, at(0, 11.5).y};
  };
  double limit_x = 24.0;
  switch (state) {
    case VerdictState::within: canvas.fill(bar(2, 17), look.ink); break;
    case VerdictState::over:
      canvas.fill(bar(13.5, 28.5), look.ink);
      limit_x = 6.0;
      break;
    case VerdictState::unproven: {
      const PageBox open = bar(2.5, 27.5);
      canvas.enter_clip(open);
      for (const double x : {1.0, 7.0, 13.0, 19.0, 25.0}) {
        canvas.line(at(x, 11.5), at(x + 5.0, 4.5), {look.ink, 1.3 * unit, Dash::solid});
      }
      canvas.leave_clip();
      canvas.frame(open, {look.ink, 1.5 * unit, Dash::solid});
      limit_x = 15.0;
      break;
    }
  }
  canvas.line(at(limit_x, 0), at(limit_x, 16), {look.ink, 2.5 * unit, Dash::solid});
  TextStyle style{.size_pt = size_pt, .ink = look.ink, .bold = true};
  canvas.label({at(34, 0).x, baseline.y}, to_word(state), style);
}

}  // namespace qn
