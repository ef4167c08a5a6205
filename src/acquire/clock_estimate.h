// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace qn {

/// How a sensor's own clock lies against the recording's.
///
///   recording time = sensor time + offset_s + drift * (sensor time - reference_s)
///
/// The mapped time is that of the quickest arrivals seen: how long even those were on their way
/// cannot be known from arrivals alone.
struct ClockFit {
  double reference_s = 0.0;         ///< sensor time of the first arrival
  double offset_s = 0.0;            ///< recording time minus sensor time, at reference_s
  double drift = 0.0;               ///< seconds of the recording per second of the sensor, minus 1
  double drift_95[2] = {0.0, 0.0};  ///< two-sided 95 % band of drift, [lo, hi]
  double offset_sigma_s = 0.0;      ///< of the line, 1 sigma
  double delay_median_s = 0.0;      ///< arrivals behind the line: the jitter
  double delay_95_s = 0.0;          ///< 95th percentile of the same
  std::size_t arrivals = 0;
  double span_s = 0.0;  ///< of sensor time
};

/// Finds that line while arrivals come in. Bytes are only ever late: so the line lies under all of
/// them, and of all lines that do, the one nearest to them on average is chosen (an edge of the
/// lower convex hull). Its band follows from how even the shortest delays are over time
/// (docs/math/link-clock.md). Memory does not grow: the hull is short, and delays are kept as an
/// even sample.
class ClockEstimate {
 public:
  /// Sensor times must not decrease; the arrival too. Equal sensor times are allowed.
  void add(double sensor_time_s, double arrival_s);
  std::size_t arrivals() const { return count_; }

  /// The line with its bands; nothing before three arrivals at three sensor times.
  std::optional<ClockFit> fit() const;

  /// Recording time of a sensor time, by what is known so far; needs one arrival. As long as the
  /// drift's band is wider than kDriftKnown, a drift of none is better than the line's: then the
  /// quickest arrival alone decides.
  double recording_time_s(double sensor_time_s) const;
  static constexpr double kDriftKnown = 2e-4;  ///< a poor crystal is off by 1e-4

 private:
  struct Point {
    double x, y;  // sensor time since the first; arrival minus sensor time, since the first
  };
  struct Line {
    double offset, drift;
  };
  Line line_under_mean() const;
  std::vector<double> sorted_delays(const Line& line) const;
  double unevenness(const Line& line) const;
  void refresh();

  double first_sensor_s_ = 0.0;
  double first_arrival_s_ = 0.0;
  std::size_t count_ = 0;
  double sum_x_ = 0.0;
  double smallest_y_ = 0.0;
  std::vector<Point> hull_;    // lower hull, x increasing
  std::vector<Point> sample_;  // every stride-th arrival
  std::size_t stride_ = 1;
  double used_offset_ = 0.0;  // what recording_time_s() goes by
  double used_drift_ = 0.0;
  std::size_t next_refresh_ = 3;
};

}  // namespace qn
