// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "procedure/sensor_fit.h"
#include "vocab/sample.h"

namespace qn::sensor_model {

/// What the spread of the readings says about how the sensor was moved. Readings in the unit of
/// the recording, axes as mounted.
struct Spread {
  enum class Kind {
    still,       ///< nothing was turned
    short_arc,   ///< a turn too short to bend visibly
    level_turn,  ///< readings lie in a plane
    tumble,      ///< readings lie on a surface
  };
  Kind kind = Kind::still;
  std::array<double, 3> centre{};
  double radius = 0.0;             ///< of the circle or the sphere
  std::array<double, 3> normal{};  ///< of the best plane, unit
  double thickness = 0.0;          ///< typical distance from that plane over the spread in it
};

/// nominal_field  what the radius should be about, in the unit of the readings; 0: not known
/// asked          what the user says it was; only a tumble makes a difference
Spread describe_spread(const std::array<std::vector<double>, 3>& m, double nominal_field,
                       Motion asked = Motion::automatic);

}  // namespace qn::sensor_model
