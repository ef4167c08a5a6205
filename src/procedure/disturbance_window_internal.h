// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "procedure/disturbance_timing_internal.h"

namespace qn::disturbance {

inline constexpr double kLeastSide_s = 0.8;  ///< of the two means a step is seen between
inline constexpr double kReach = 2.5;        ///< times a side, where part of it is blurred

/// What must not stand on either side of a moment that is tried.
struct Travel {
  double before_s = 0.0, after_s = 0.0;
};

/// A set is switched and travels piece by piece: no moment of the trace is its own.
bool is_set(const MarkedRun& run, std::size_t s);
Travel travel_of(const MarkedRun& run, const Switch& at);

/// Sums of the window around one switch, all other switches taken out.
class Window {
 public:
  Window(const Pieces& fine, const MarkedRun& run, const std::vector<SwitchTime>& times,
         const std::vector<ExpectedJump>& jumps, std::size_t self, double from_s, double to_s);

  struct Contrast {
    Vector3 jump_uT{};
    Vector3 variance_uT2{};
    bool known = false;
  };

  /// Where the sides of the moment before ended: moments that are tried in order need not search.
  struct Cursor {
    std::size_t begin = 0, end = 0;
  };

  /// Mean of `side` seconds after the step and its transit, less the mean of as long before. Steel
  /// on its way draws a hump of its own: nothing of the travel may stand on either side, wherever
  /// within it the moment is tried.
  Contrast contrast(double at_s, double side_s, const Travel& travel, const LongRunRate& rate,
                    Cursor& cursor) const;

  /// Log likelihood ratio of a travel from `at_s` to `at_s + transit_s` (a ramp between two levels
  /// and a hump of its own on the way, both of unknown size) against no change, over the whole
  /// window, so that one moment is compared with another on the same data.
  double travel_ratio(double at_s, double transit_s, const LongRunRate& rate) const;

 private:
  std::size_t index(double time_s) const;

  const Pieces& fine_;
  std::size_t first_, last_;
  std::array<std::vector<double>, 3> sums_;
  std::vector<double> counts_;
};

}  // namespace qn::disturbance
