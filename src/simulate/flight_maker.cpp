// SPDX-License-Identifier: Apache-2.0
#include "simulate/flight_maker.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "simulate/random.h"

namespace qn::simulate {
namespace {

constexpr double kFlightRad = std::numbers::pi / 180.0;
constexpr double kTurn_deg_per_s = 3.0, kBank_deg = 18.0;
constexpr double kWanderMemory_s = 20.0;

double round_to(double value, double step) {
  return step > 0.0 ? step * std::round(value / step) : value;
}

double around(double deg) {
  double out = std::fmod(deg, 360.0);
  if (out < 0.0) out += 360.0;
  return out >= 360.0 ? 0.0 : out;
}

double shortest(double deg) { return std::remainder(deg, 360.0); }

/// Ground velocity as (track, speed).
struct Ground {
  double track_deg, speed_kt;
};
Ground ground_of(double true_air_deg, double tas_kt, double east_kt, double north_kt) {
  const double e = tas_kt * std::sin(true_air_deg * kFlightRad) + east_kt;
  const double n = tas_kt * std::cos(true_air_deg * kFlightRad) + north_kt;
  return {around(std::atan2(e, n) / kFlightRad), std::sqrt(e * e + n * n)};
}

/// Slow wander with a memory, one value a second.
class Wander {
 public:
  Wander(double sigma, const Random& random) : sigma_{sigma}, random_{random} {
    value_ = sigma_ * random_.normal();
  }
  double next() {
    const double keep = std::exp(-1.0 / kWanderMemory_s);
    value_ = keep * value_ + std::sqrt(1.0 - keep * keep) * sigma_ * random_.normal();
    return value_;
  }

 private:
  double sigma_, value_ = 0.0;
  Random random_;
};

}  // namespace

double shown_on(const std::array<double, 5>& k, double magnetic_deg) {
  double lo = magnetic_deg - 90.0;
  double hi = magnetic_deg + 90.0;
  for (int i = 0; i < 60; ++i) {
    const double z = 0.5 * (lo + hi);
    const double a = z * kFlightRad;
    const double deviation = k[0] + k[1] * std::sin(a) + k[2] * std::cos(a) +
                             k[3] * std::sin(2.0 * a) + k[4] * std::cos(2.0 * a);
    (z + deviation < magnetic_deg ? lo : hi) = z;
  }
  return around(0.5 * (lo + hi));
}

FlightTruth invented_flight(std::uint64_t seed) {
  Random random{seed, 41};
  FlightTruth out;
  out.tas_kt = random.uniform(70.0, 180.0);
  const double wind = random.uniform(0.0, std::min(40.0, 0.35 * out.tas_kt));
  const double to = random.uniform(0.0, 360.0) * kFlightRad;
  out.wind_kt = {wind * std::sin(to), wind * std::cos(to)};
  out.wind_change_kt_per_hour = {6.0 * random.normal(), 6.0 * random.normal()};
  const double usual[5] = {1.5, 4.0, 4.0, 1.0, 0.7};
  for (std::size_t j = 0; j < 5; ++j) out.coefficients_deg[j] = usual[j] * random.normal();
  out.variation_deg = random.uniform(-20.0, 20.0);
  out.sideslip_deg = random.normal();
  // Nobody knows beforehand how steady a hand and how smooth the air: from 0.6 to 2.2 times usual.
  const double hand = std::exp(random.uniform(-0.5, 0.8));
  const double air = std::exp(random.uniform(-0.5, 0.8));
  out.heading_error_deg = 1.0 * hand;
  out.heading_wander_deg = 1.2 * hand;
  out.airspeed_wander_kt = 1.0 * air;
  out.wind_wander_kt = 0.7 * air;
  return out;
}

std::vector<double> invented_headings(std::size_t legs, std::uint64_t seed) {
  Random random{seed, 42};
  const double first = random.uniform(0.0, 360.0);
  const std::size_t pattern = random.below(3);
  std::vector<double> out;
  for (std::size_t i = 0; i < legs; ++i) {
    double z = first;
    if (pattern == 0) {
      z += 360.0 * static_cast<double>(i) / static_cast<double>(legs) + 5.0 * random.normal();
    } else if (pattern == 1) {  // a box, and the next one turned by 45 degrees
      z += 90.0 * static_cast<double>(i) + (i >= 4 ? 45.0 : 0.0) + 3.0 * random.normal();
    } else {
      z = random.uniform(0.0, 360.0);
    }
    out.push_back(around(z));
  }
  return out;
}

std::vector<HandLeg> flown_by_hand(const FlightTruth& truth,
                                   const std::vector<double>& magnetic_deg, double leg_s,
                                   std::uint64_t seed) {
  Random random{seed, 43};
  const double middle = 0.5 * static_cast<double>(magnetic_deg.size() - 1);
  std::vector<HandLeg> out;
  for (std::size_t i = 0; i < magnetic_deg.size(); ++i) {
    const double hours = (static_cast<double>(i) - middle) * leg_s / 3600.0;
    const double tas = truth.tas_kt + truth.airspeed_wander_kt * random.normal();
    const double east = truth.wind_kt[0] + truth.wind_change_kt_per_hour[0] * hours +
                        truth.wind_wander_kt * random.normal();
    const double north = truth.wind_kt[1] + truth.wind_change_kt_per_hour[1] * hours +
                         truth.wind_wander_kt * random.normal();
    const Ground ground =
        ground_of(magnetic_deg[i] + truth.variation_deg + truth.sideslip_deg, tas, east, north);
    HandLeg leg;
    leg.indicated_deg = around(round_to(shown_on(truth.coefficients_deg, magnetic_deg[i]) +
                                            truth.heading_error_deg * random.normal(),
                                        truth.display_step_deg));
    const double cross = truth.gps_error_kt * random.normal() / ground.speed_kt / kFlightRad;
    leg.track_true_deg = around(std::round(ground.track_deg + cross));
    leg.groundspeed_kt = std::round(ground.speed_kt + truth.gps_error_kt * random.normal());
    out.push_back(leg);
  }
  return out;
}

SimulatedFlight recorded_flight(const FlightTruth& truth, const std::vector<double>& magnetic_deg,
                                double leg_s, std::uint64_t seed) {
  Random random{seed, 44};
  Wander heading{truth.heading_wander_deg, Random{seed, 45}};
  Wander speed{truth.airspeed_wander_kt, Random{seed, 46}};
  Wander east{truth.wind_wander_kt, Random{seed, 47}};
  Wander north{truth.wind_wander_kt, Random{seed, 48}};
  SimulatedFlight out;
  const double climb_s = 90.0;
  double whole_s = climb_s + leg_s * static_cast<double>(magnetic_deg.size());
  double aim = magnetic_deg.front();
  double time = 0.0;
  double leg_error = truth.heading_error_deg * random.normal();
  const auto record = [&](double tas, double bank) {
    const double hours = (time - 0.5 * whole_s) / 3600.0;
    const double magnetic = aim + heading.next();
    const Ground g =
        ground_of(magnetic + truth.variation_deg + truth.sideslip_deg, tas + speed.next(),
                  truth.wind_kt[0] + truth.wind_change_kt_per_hour[0] * hours + east.next(),
                  truth.wind_kt[1] + truth.wind_change_kt_per_hour[1] * hours + north.next());
    out.time_s.push_back(time);
    out.indicated_deg.push_back(around(
        round_to(shown_on(truth.coefficients_deg, magnetic) + leg_error, truth.display_step_deg)));
    const double cross = truth.gps_error_kt * random.normal() / g.speed_kt / kFlightRad;
    out.track_true_deg.push_back(around(round_to(g.track_deg + cross, 0.1)));
    out.groundspeed_kt.push_back(round_to(g.speed_kt + truth.gps_error_kt * random.normal(), 0.1));
    out.roll_deg.push_back(round_to(bank + 0.8 * random.normal(), 0.1));
    time += 1.0;
  };
  while (time < climb_s) record(truth.tas_kt * (0.6 + 0.4 * time / climb_s), 0.0);
  for (const double target : magnetic_deg) {
    while (std::fabs(shortest(target - aim)) > 1e-6) {
      const double left = shortest(target - aim);
      aim += std::clamp(left, -kTurn_deg_per_s, kTurn_deg_per_s);
      record(truth.tas_kt, left > 0.0 ? kBank_deg : -kBank_deg);
    }
    leg_error = truth.heading_error_deg * random.normal();
    const double from = time;
    while (time < from + leg_s) record(truth.tas_kt, 0.0);
    out.legs.push_back({around(target), from, time});
  }
  return out;
}

}  // namespace qn::simulate
