// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/page_geometry.h"

namespace qn {

inline constexpr double kApart_pt = 8.0;       ///< between the sections of a sheet
inline constexpr double kColumnGap_pt = 22.0;  ///< between two columns

/// A row of a sheet in two columns; `share` of the width, without the gap, is the left one's.
inline PageBox left_part(const PageBox& row, double share) {
  return {row.left, row.top, row.left + share * (row.width() - kColumnGap_pt), row.bottom};
}
inline PageBox right_part(const PageBox& row, double share) {
  return {left_part(row, share).right + kColumnGap_pt, row.top, row.right, row.bottom};
}

}  // namespace qn
