// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "procedure/strongest_sum_internal.h"

namespace qn {

/// What is left when one device no longer disturbs.
struct Cure {
  std::string device;
  double length_uT = 0.0;  ///< the strongest sum left, of the worst phase
};

/// The one device whose cure leaves least; none when no cure makes it smaller.
///
/// phases  each the devices that are on together; a device has one name in all of them
std::optional<Cure> best_cure(const std::vector<std::vector<PlaneDevice>>& phases);

/// The fewest devices to cure so that no phase's strongest sum exceeds `allowed_uT`: every set of
/// one, two and three is looked at, from there the best next one is added. Of equally small sets
/// the one that leaves least. In the order in which each step leaves least.
std::vector<std::string> fewest_cures(const std::vector<std::vector<PlaneDevice>>& phases,
                                      double allowed_uT);

}  // namespace qn
