// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>

namespace qn {

/// A place on a page: points (1/72 inch) from its upper left corner, y downward.
struct PagePoint {
  double x = 0.0, y = 0.0;
};

struct PageBox {
  double left = 0.0, top = 0.0, right = 0.0, bottom = 0.0;
  double width() const { return right - left; }
  double height() const { return bottom - top; }
};

inline bool overlap(const PageBox& a, const PageBox& b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
inline PageBox common_part(const PageBox& a, const PageBox& b) {
  return {std::max(a.left, b.left), std::max(a.top, b.top), std::min(a.right, b.right),
          std::min(a.bottom, b.bottom)};
}
inline PageBox hull(const PageBox& a, const PageBox& b) {
  return {std::min(a.left, b.left), std::min(a.top, b.top), std::max(a.right, b.right),
          std::max(a.bottom, b.bottom)};
}

struct PageSize {
  double width_pt = 0.0, height_pt = 0.0;
};
inline constexpr double kPointsPerMillimetre = 72.0 / 25.4;
inline constexpr PageSize kA4{210.0 * kPointsPerMillimetre, 297.0 * kPointsPerMillimetre};
inline constexpr PageSize kLetter{612.0, 792.0};

}  // namespace qn
