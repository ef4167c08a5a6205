// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "vocab/field_vector.h"

namespace qn {

/// Readings that are each the mean over one of many equal pieces of time; pieces may be missing.
struct PulseStretch {
  std::vector<std::size_t> piece;              ///< its number, from 0, rising
  std::array<std::vector<double>, 3> reading;  ///< of each of them, on each axis
};

/// Rectangular pulses: `height` for `duty` of each period, nothing for the rest.
struct Pulses {
  double period_s = 0.0;
  double duty = 0.0;
  std::vector<double> start_s;  ///< of each stretch: a pulse begins so long after piece 0 begins
  Vector3 height{};
  double gain = -1.0;  ///< twice the log likelihood over level and slope alone; below 0: no fit

  /// Mean over [from_s, to_s] of 1 in a pulse and 0 in a pause, a pulse beginning at `start`.
  double share(double from_s, double to_s, double start) const;
};

/// The pulses that fit best by least squares beside a level and a slope of each stretch, looked for
/// near `guess` (whose height does not matter). A pulse shorter than a piece shows only its length
/// times its height; then either may come out anyhow.
///
/// noise  variance of a reading on each axis, above 0
Pulses fit_pulses(const std::vector<PulseStretch>& stretches, double piece_s, Pulses guess,
                  const Vector3& noise);

}  // namespace qn
