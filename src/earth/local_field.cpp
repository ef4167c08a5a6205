// SPDX-License-Identifier: Apache-2.0
#include "earth/local_field.h"

#include <cmath>

namespace qn {

double LocalField::total_uT() const { return std::hypot(horizontal_uT, down_uT); }

Angle LocalField::dip() const { return Angle::radians(std::atan2(down_uT, horizontal_uT)); }

}  // namespace qn
