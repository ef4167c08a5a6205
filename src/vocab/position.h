// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "vocab/angle.h"
#include "vocab/length.h"

namespace qn {

/// A place on or near the Earth, geodetic, WGS 84.
struct GeodeticPoint {
  Angle latitude;   ///< north positive, -90 to 90 degrees
  Angle longitude;  ///< east positive
  Length height;    ///< above the ellipsoid (sea level differs by up to 0.1 km: negligible here)
};

}  // namespace qn
