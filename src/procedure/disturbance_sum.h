// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "estimation/normal_equations.h"
#include "procedure/disturbance_run.h"

namespace qn {

/// All fields of a run as they were estimated together: the common rest field and the aircraft's
/// tilt are in the covariance between them, so that a sum counts them once.
struct JointFields {
  std::vector<Vector3> field_uT;  ///< each state against its device's reference, body axes
  SquareMatrix covariance_uT2;    ///< of 3 K numbers: axis a of field k is number 3 k + a
};

/// One state of one device that may be on. Several members with one device's name are its states,
/// of which one is on at a time.
struct SumMember {
  std::string device;
  std::string state;
  std::size_t index = 0;  ///< into JointFields
  bool optional = false;  ///< of the device: may as well be off
};

/// Vector sum of the members: sum and its covariance.
UncertainField sum_of_fields(const std::vector<SumMember>& members, const JointFields& joint);

/// What a set of devices does together (docs/math/disturbing-field.md).
///
/// `field` and `heading` are for every device on, of several states those whose sum is longest.
/// The worst subset also leaves optional devices off, and its band chooses states and devices
/// again in each draw. The verdict is on the worst subset: it includes `heading`. The best cure
/// and the order of cures are of the worst subset too, by the estimates.
///
/// members  not empty
/// cost     about 0.1 ms for a handful of devices; 2 ms with a few optional ones or several states,
///          25 ms with thirty
CombinationEffect combine(const std::string& phase, const std::vector<SumMember>& members,
                          const JointFields& joint, const LocalField& earth, const Limit& limit);

/// Everything at once, as measured (a field of `joint` of its own), beside the sum of the parts.
/// They agree when zero lies in the 95 % region of the difference (chi-square, 3 axes).
///
/// members  one for each device, in the state that was on
AllOn compare_all_on(std::size_t measured_index, const std::vector<SumMember>& members,
                     const JointFields& joint, const LocalField& earth);

/// The fewest devices to cure so that the worst subset of every phase comes under the limit, by
/// the estimates; exact up to three devices, then greedy. Empty when nothing has to be cured.
std::vector<std::string> cure_order_of(const std::vector<std::vector<SumMember>>& phases,
                                       const JointFields& joint, const LocalField& earth,
                                       const Limit& limit);

}  // namespace qn
