// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "vocab/angle.h"
#include "vocab/heading.h"

namespace qn {

/// What every command needs to know of the Earth's field at one place and day: how strong it is
/// along the ground and downward, and how well that is known. From the model (geomagnetic.h) or
/// measured. Horizontal and down errors are taken as independent of each other.
struct LocalField {
  double horizontal_uT = 0.0;        ///< H, > 0, along magnetic north
  double down_uT = 0.0;              ///< Z, positive down
  double sigma_horizontal_uT = 0.0;  ///< 1 sigma, > 0
  double sigma_down_uT = 0.0;        ///< 1 sigma, > 0
  std::optional<Variation> variation;
  std::optional<Angle> sigma_variation;
  std::string source;  ///< for people: "WMM2025, 2026-05-14" or "measured, as given"

  double total_uT() const;  ///< F
  Angle dip() const;        ///< down positive
};

}  // namespace qn
