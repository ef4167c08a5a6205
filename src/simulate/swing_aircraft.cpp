// SPDX-License-Identifier: Apache-2.0
#include "simulate/swing_aircraft.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace qn::simulate {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr std::uint64_t kTruthStream = 61, kChanceStream = 62;
constexpr double kBeside_deg = 0.4, kEye_deg = 0.4;  // 1 sigma: aircraft on its mark, reading

double around(double deg) { return std::remainder(deg, 360.0); }

}  // namespace

SwingAircraft::SwingAircraft(const std::vector<std::string>& names, std::uint64_t seed)
    : chance_{seed, kChanceStream} {
  Random truth{seed, kTruthStream};
  for (const std::string& name : names) {
    Compass c;
    c.name = name;
    c.x_hard = 0.06 * truth.normal();
    c.y_hard = 0.06 * truth.normal();
    c.xx = 0.02 * truth.normal();
    c.yy = -c.xx;
    c.xy = c.yx = 0.01 * truth.normal();
    c.lubber_deg = 0.8 * truth.normal();
    c.lag_deg = 0.2 * std::fabs(truth.normal());
    c.x_loads = 0.03 * truth.normal();
    compasses_.push_back(c);
  }
}

const SwingAircraft::Compass& SwingAircraft::named(const std::string& name) const {
  const auto found = std::find_if(compasses_.begin(), compasses_.end(),
                                  [&](const Compass& c) { return c.name == name; });
  return found == compasses_.end() ? compasses_.front() : *found;
}

double SwingAircraft::indicated_deg(const Compass& c, double magnetic_deg) const {
  // The field in the airframe, its horizontal part taken as 1; y is to the right.
  const double x = std::cos(magnetic_deg * kDegree), y = -std::sin(magnetic_deg * kDegree);
  const double bx = x + c.xx * x + c.xy * y + c.x_hard + (loads_on_ ? c.x_loads : 0.0);
  const double by = y + c.yx * x + c.yy * y + c.y_hard;
  return std::atan2(-by, bx) / kDegree + c.lubber_deg;
}

void SwingAircraft::stand_on(double station_deg, bool clockwise) {
  stands_deg_ = station_deg + kBeside_deg * chance_.normal();
  turn_ = clockwise ? 1.0 : -1.0;
}

double SwingAircraft::read(const std::string& compass) {
  const Compass& c = named(compass);
  const double shown = indicated_deg(c, stands_deg_) - turn_ * c.lag_deg;
  const double whole = std::fmod(std::round(shown + kEye_deg * chance_.normal()) + 720.0, 360.0);
  return whole;
}

double SwingAircraft::worst_deviation_deg(const std::string& compass) const {
  double most = 0.0;
  for (int h = 0; h < 1440; ++h) {
    const double magnetic_deg = 0.25 * h;
    most = std::max(most,
                    std::fabs(around(magnetic_deg - indicated_deg(named(compass), magnetic_deg))));
  }
  return most;
}

}  // namespace qn::simulate
