// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "simulate/random.h"

namespace qn::simulate {

/// A made-up aircraft on a rose, with compasses that iron disturbs. Headings are magnetic degrees.
class SwingAircraft {
 public:
  SwingAircraft(const std::vector<std::string>& compasses, std::uint64_t seed);

  /// Pushed onto a mark, a little beside it.
  void stand_on(double station_deg, bool clockwise);
  void switch_loads(bool on) { loads_on_ = on; }
  /// What a person reads there, in whole degrees.
  double read(const std::string& compass);

  /// Truth: largest size of the deviation over all headings, degrees; loads as they are.
  double worst_deviation_deg(const std::string& compass) const;

 private:
  /// What iron does, in parts of the horizontal field: along x and y of the airframe.
  struct Compass {
    std::string name;
    double x_hard = 0.0, y_hard = 0.0;
    double xx = 0.0, xy = 0.0, yx = 0.0, yy = 0.0;
    double lubber_deg = 0.0;  ///< set so far to the right
    double lag_deg = 0.0;     ///< half of what lies between the two turns
    double x_loads = 0.0;
  };
  const Compass& named(const std::string& name) const;
  double indicated_deg(const Compass& compass, double magnetic_deg) const;

  std::vector<Compass> compasses_;
  Random chance_;
  double stands_deg_ = 0.0;
  double turn_ = 1.0;
  bool loads_on_ = false;
};

}  // namespace qn::simulate
