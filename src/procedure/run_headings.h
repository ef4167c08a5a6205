// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "procedure/run_event.h"
#include "procedure/run_state.h"

namespace qn::run {

/// Reads the instrument that a link speaks for: the mean of what it showed while the aircraft
/// stood, when that is asked for.
class HeadingListener {
 public:
  /// time_s  increasing; a heading that is not is left out
  std::vector<Event> take(double time_s, double heading_deg, const State& state);

 private:
  struct Second {
    double from_s = 0.0;
    double east = 0.0, north = 0.0;  ///< sums of sines and cosines
  };
  static constexpr std::size_t kKept = 120;
  std::optional<Event> mean_since(double from_s) const;
  const Second& back(std::size_t ago) const { return ring_[(next_ - 1 - ago) % kKept]; }

  std::array<Second, kKept> ring_{};
  std::size_t next_ = 0;
  double now_s_ = -1.0;
};

/// Seconds of the standing that are not counted: it still settles.
inline constexpr double kSettles_s = 2.0;
/// Whole seconds that a mean is taken of, at the least.
inline constexpr std::size_t kLeastSeconds = 4;

}  // namespace qn::run
