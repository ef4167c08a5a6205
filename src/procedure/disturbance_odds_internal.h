// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace qn::disturbance {

/// Own assumption: the share of devices that do nothing to the sensor.
inline constexpr double kQuietShare = 0.4;

}  // namespace qn::disturbance
