// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/swing_solve.h"
#include "report/page_canvas.h"

namespace qn {

inline constexpr double kCoefficientTable_pt = 78.0;

/// A to E with their bands and what each is of.
void coefficient_table(PageCanvas& canvas, const PageBox& box, const SwingCompass& compass);

}  // namespace qn
