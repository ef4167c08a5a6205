// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "simulate/random.h"
#include "vocab/heading.h"

namespace qn::test {

/// Headings over time at 20 Hz, put together piece by piece; true times of the stops beside them.
class StationTurn {
 public:
  explicit StationTurn(double start_deg) : heading_deg_{start_deg} {}

  StationTurn& stand(double seconds) {
    stops_from_s.push_back(clock());
    add(seconds, 0.0);
    stops_to_s.push_back(clock());
    return *this;
  }
  /// By `deg`, clockwise positive, at one rate.
  StationTurn& turn(double deg, double seconds) {
    add(seconds, deg);
    return *this;
  }
  /// Headings from 0 to below 360 with white noise.
  std::vector<double> read(double noise_deg) const {
    simulate::Random random{20260514};
    std::vector<double> out;
    for (const double h : headings_) out.push_back(wrap_360_deg(h + noise_deg * random.normal()));
    return out;
  }

  std::vector<double> time_s;
  std::vector<double> stops_from_s, stops_to_s;

 private:
  static constexpr double kStep_s = 0.05;
  double clock() const { return kStep_s * static_cast<double>(time_s.size()); }
  void add(double seconds, double deg) {
    const auto count = static_cast<std::size_t>(seconds / kStep_s + 0.5);
    const double from = heading_deg_;
    for (std::size_t k = 0; k < count; ++k) {
      time_s.push_back(clock());
      heading_deg_ = from + deg * static_cast<double>(k + 1) / static_cast<double>(count);
      headings_.push_back(heading_deg_);
    }
  }

  double heading_deg_;
  std::vector<double> headings_;
};

}  // namespace qn::test
