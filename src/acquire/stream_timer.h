// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "acquire/clock_estimate.h"
#include "acquire/link_reading.h"

namespace qn {

/// A reading on the recording's time line.
struct TimedReading {
  double time_s = 0.0;     ///< when it was measured, as well as can be told; increasing per source
  double arrival_s = 0.0;  ///< when its bytes had come
  LinkReading reading;
};

/// What is known of one source's clock.
struct SourceClock {
  bool has_own_time = false;
  std::uint64_t went_back = 0;  ///< the sensor's time decreased: each time the estimate starts anew
  std::uint64_t jumped = 0;     ///< it leapt against the arrivals by kClockJump_s or more
  std::optional<ClockFit> fit;
};

/// Puts readings on the recording's time line: by the sensor's own clock when it has one, by
/// arrival otherwise. Uses only what has come so far, so that live and replay give the same times.
class StreamTimer {
 public:
  static constexpr double kClockJump_s = 5.0;

  /// The readings that came with one piece of bytes. Without a clock of their own, several lines in
  /// one piece were measured one after another before it: they are laid out backward from its
  /// arrival at the usual interval.
  void stamp(std::vector<LinkReading>&& readings, double arrival_s, std::vector<TimedReading>& out);

  SourceClock clock_of(const std::string& source) const;
  /// Recording time 0 in UTC, seconds since 1970, from satellite receivers. Late by the time that
  /// their sentences take, which is usually 0.05 s to 0.5 s and cannot be seen from here.
  std::optional<double> utc_at_zero_s() const;

 private:
  struct Source {
    ClockEstimate clock;
    double last_sensor_s = 0.0;
    double last_arrival_s = 0.0;
    double last_time_s = 0.0;
    bool any = false;
    std::uint64_t own_times = 0, went_back = 0, jumped = 0;
    std::deque<double> arrivals;
    std::uint64_t here = 0;  // readings of this source in the present piece
  };
  double own_time(Source& source, double sensor_s, double arrival_s);
  static double spread_time(const Source& source, double arrival_s, std::uint64_t still_to_come);

  std::map<std::string, Source> sources_;
  ClockEstimate utc_;
  double last_utc_s_ = 0.0;
};

}  // namespace qn
