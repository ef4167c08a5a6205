// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <utility>
#include <vector>

#include "procedure/disturbance_sum.h"
#include "procedure/strongest_sum_internal.h"

namespace qn {

/// Devices of the members in the plane, in the order in which they first appear: mandatory ones
/// first. member[d][s] is the member that state s of device d came from.
struct PlaneDevices {
  std::vector<PlaneDevice> devices;
  std::vector<std::vector<SumMember>> members;
};
PlaneDevices plane_devices(const std::vector<SumMember>& members, const JointFields& joint);

/// 95 % band of the length of the strongest sum, by test inversion; devices and states are chosen
/// again in every draw, as the choice on the estimates makes the sum look too long.
///
/// found  the strongest sum of the estimates
std::pair<double, double> worst_subset_band_95(const PlaneDevices& group, const StrongestSum& found,
                                               const JointFields& joint);

}  // namespace qn
