// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "procedure/swing_curve.h"

namespace qn {

struct SwingObserved;

/// Coefficients as worksheets of the trade have them: means of the deviations on N, NE, ... NW.
/// For comparison with what was worked out by hand; they have no bands, and nothing rests on them.
struct SwingMeans {
  std::size_t headings = 4;  ///< 4: the quarters alone, D is not told; 8
  SwingCoefficients coefficients_deg{};
  std::array<bool, 5> told{};
  /// Deviation less A of each reading, in their order: the "residual" of a worksheet, which its
  /// card takes off the heading.
  std::vector<double> less_a_deg;
};

/// observed  readings in use that are nearest to one of the eight headings count for it, those read
///           more than once by their mean
/// returns   nothing where one of N, E, S and W was not read
/// source    docs/sources.md, "Deviation of the compass", worked examples
std::optional<SwingMeans> swing_by_means(const std::vector<SwingObserved>& observed);

}  // namespace qn
