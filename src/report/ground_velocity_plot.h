// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/page_canvas.h"

namespace qn {

/// One leg of flight as its velocity over the ground.
struct GroundVelocity {
  double east_kt = 0.0, north_kt = 0.0;
  std::string name;  ///< beside its point
  bool used = true;
};

/// Where the air carried the legs: equal airspeeds lie on a circle whose middle is the wind.
struct WindCircle {
  double east_kt = 0.0, north_kt = 0.0;  ///< where the wind blows to
  double radius_kt = 0.0;                ///< true airspeed
};

struct GroundVelocities {
  std::vector<GroundVelocity> legs;
  std::optional<WindCircle> circle;  ///< none: the wind is not known
  std::string north = "N";           ///< what points up
};

/// Velocities over the ground as seen from above, north up: a disc for a leg that was used, a
/// dashed ring for one that was not; the circle of equal airspeed, and the wind from the middle of
/// the plot to the middle of the circle.
void ground_velocity_plot(PageCanvas& canvas, const PageBox& box, const GroundVelocities& seen);

}  // namespace qn
