// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"

namespace qn {

struct ErrorCurves {
  const std::vector<HeadingErrorPoint>& points;
  const std::vector<StationMatch>& stations;
  std::optional<Limit> limit;
};

/// Heading error over heading: before the correction dashed, after it as a 95 % band, the limit,
/// and what is left at each station. Where the error before is so large that the band after would
/// be a line, the two stand in panels of their own above one heading axis.
void error_curve_plot(PageCanvas& canvas, const PageBox& box, const ErrorCurves& curves);

}  // namespace qn
