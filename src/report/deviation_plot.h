// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "procedure/swing_solve.h"
#include "report/page_canvas.h"

namespace qn {

/// One compass, under one or two states of its loads.
struct DeviationStates {
  std::vector<const SwingCompass*> states;  ///< solved; the first has its band filled
  std::optional<Limit> limit;
};

/// Deviation over the indicated heading: curve with its band, the readings (a ring, or a dot for
/// the other direction of turn), the limit on both sides. A reading left out has a dashed ring; one
/// beyond the frame is written at it.
void deviation_plot(PageCanvas& canvas, const PageBox& box, const DeviationStates& states);

/// What the curve leaves of each reading, as bars from zero above the same headings. A bar too tall
/// is cut at the frame and its value written.
void deviation_residuals(PageCanvas& canvas, const PageBox& box, const SwingCompass& compass);

}  // namespace qn
