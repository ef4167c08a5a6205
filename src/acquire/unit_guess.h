// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>

namespace qn {

/// What a sensor's numbers seem to be, when they are not microtesla.
struct UnitGuess {
  std::string_view words;   ///< "gauss x 1000 (milligauss)"
  std::string_view column;  ///< the ending for its columns: "mG"
};

/// From the length of the field as numbers that are called microtesla.
///
/// lo, hi   microtesla that the true field can have: at one place, or anywhere on Earth
/// returns  nothing when the numbers fit as they are, or when no unit makes them fit; of several
///          that would, the commonest
std::optional<UnitGuess> guess_field_unit(double length, double lo_uT, double hi_uT);

/// Anywhere on Earth, at the ground: 22 to 67 microtesla (geomagnetic charts, from memory), with a
/// third to spare for what an airframe does.
inline constexpr double kWeakestField_uT = 15.0;
inline constexpr double kStrongestField_uT = 90.0;

}  // namespace qn
