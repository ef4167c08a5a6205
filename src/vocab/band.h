// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "vocab/angle.h"

namespace qn {

/// A two-sided 95 % band: 2.5 % of the risk lies below `lo` and 2.5 % above `hi`.
struct Band95 {
  Angle lo;
  Angle hi;
  friend bool operator==(const Band95&, const Band95&) = default;
};

}  // namespace qn
