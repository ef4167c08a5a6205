// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

namespace qn::sensor_model {

/// The plane an aircraft was turned on and how it sits on it, from roll and pitch over heading.
struct LoggedGround {
  double slope_north_rad = 0.0, slope_east_rad = 0.0;
  double sigma_slope_rad = 0.0;  ///< each; the columns' constant error does not enter
  double deck_roll_rad = 0.0, deck_pitch_rad = 0.0;
  double sigma_deck_rad = 0.0;  ///< each; the columns' constant error included
};

/// Slope and the aircraft's own tilt are told apart because the one turns with heading:
/// pitch = deck + north cos h + east sin h, roll = deck + north sin h - east cos h. Used in place
/// of each sample's own attitude, whose noise would be taken for wobble the field should follow.
///
/// heading_rad, roll_rad, pitch_rad  as long as time_s; NaN where not known
/// sigma_constant_rad                constant error of roll and pitch
/// returns  nothing when the headings with known attitude cover less than a third of a turn
std::optional<LoggedGround> learn_ground(const std::vector<double>& time_s,
                                         const std::vector<double>& heading_rad,
                                         const std::vector<double>& roll_rad,
                                         const std::vector<double>& pitch_rad,
                                         double sigma_constant_rad);

}  // namespace qn::sensor_model
