// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

namespace qn {

/// Where a cloud of points lies and how far it spreads along its own axes.
struct PrincipalAxes {
  std::array<double, 3> centre{};
  std::array<double, 3> spread{};               ///< standard deviations, largest first
  std::array<std::array<double, 3>, 3> axes{};  ///< unit vectors, in the same order
};

/// points  at least one; rows with keep[i] == 0 are left out (an empty keep keeps all)
PrincipalAxes principal_axes(const std::vector<std::array<double, 3>>& points,
                             const std::vector<unsigned char>& keep = {});

/// Centre and radius of the sphere (dimensions 3) or circle (dimensions 2, x and y only) that
/// fits best; a quarter of the points may lie anywhere. Algebraic: good as a start, not as an
/// answer. A radius of 0 means that the points do not bend.
struct RoundFit {
  std::array<double, 3> centre{};
  double radius = 0.0;
};
RoundFit fit_round(const std::vector<std::array<double, 3>>& points, int dimensions);

}  // namespace qn
