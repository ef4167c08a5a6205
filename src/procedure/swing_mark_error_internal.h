// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/swing_compass_internal.h"

namespace qn {

/// Widens the bands by what the marks' own errors do beyond one visit: the solution takes every
/// visit's error for a new one, but that of a mark comes again. Of n visits to a mark of sigma s
/// the mean keeps s^2, of which s^2 / n is in the scatter already.
void add_mark_errors(SwingCompass& compass, const CompassFit& fit,
                     const std::vector<SwingReading>& readings);

}  // namespace qn
