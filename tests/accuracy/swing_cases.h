// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "procedure/swing_maker.h"

namespace qn::accuracy {

/// What was done wrong, once in a swing.
struct SwingBlunder {
  bool planted = false;
  bool of_mark = false;    ///< the aircraft stood on another mark: all compasses
  std::size_t row = 0;     ///< of the readings; of a wrong mark, that of the first compass
  std::string cause;       ///< in the words of the solver
  double shift_deg = 0.0;  ///< of the number written down, 10 or more either way
};

/// A swing with its truth, by its own geometry.
struct SwingTrial {
  std::size_t stations = 8, compasses = 1;
  bool both_turns = false;
  double rounding_deg = 1.0, reading_sigma_deg = 0.7, station_sigma_deg = 0.7;
  std::vector<test::MadeSwing> truths;  ///< beside the compasses; their readings are left empty
  std::vector<SwingReading> readings;
  SwingBlunder blunder;

  double noise_deg() const { return std::hypot(reading_sigma_deg, station_sigma_deg); }
};

/// table  "swing-clean", "swing-gross", "swing-ten", "swing-compasses",
///        "swing-compasses-gross", "swing-coarse"
SwingTrial make_swing_trial(std::string_view table, std::uint64_t seed);

std::string compass_name(std::size_t compass);

}  // namespace qn::accuracy
