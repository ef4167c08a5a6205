// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <utility>

#include "earth/local_field.h"
#include "vocab/band.h"

namespace qn {

/// Heading error of a field of that length along the ground: asin, or lost (180) from H on.
Angle angle_of_length(double length_uT, double horizontal_uT);

/// Band of that heading error from the band of the length, the uncertainty of H added. The two
/// are independent: their half-widths add as squares, each side by itself, in the ratio length/H.
Band95 angle_band(double length_uT, const std::pair<double, double>& length_95_uT,
                  const LocalField& earth);

/// Length along the ground of a field in body axes, at the attitude within bank 30 and pitch 15
/// degrees where it is largest.
double tilted_length(double x, double y, double z);

}  // namespace qn
