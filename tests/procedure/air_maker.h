// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <cstdint>
#include <vector>

#include "procedure/air_check.h"
#include "procedure/steady_legs.h"
#include "simulate/flight_maker.h"
#include "simulate/random.h"

namespace qn::test {

/// A flight with its truth, as the solver gets it.
struct MadeFlight {
  simulate::FlightTruth truth;
  std::vector<double> magnetic_deg;  ///< what was flown
  std::vector<AirLeg> legs;
  AirOptions options;

  double deviation(double z_deg) const {
    const double z = z_deg * 0.017453292519943295;
    const auto& k = truth.coefficients_deg;
    return k[0] + k[1] * std::sin(z) + k[2] * std::cos(z) + k[3] * std::sin(2 * z) +
           k[4] * std::cos(2 * z);
  }
  double worst() const {
    double most = 0.0;
    for (int z = 0; z < 720; ++z) most = std::max(most, std::fabs(deviation(0.5 * z)));
    return most;
  }
};

inline MadeFlight make_flight(std::size_t legs, bool from_log, std::uint64_t seed) {
  MadeFlight out;
  out.truth = simulate::invented_flight(seed);
  out.magnetic_deg = simulate::invented_headings(legs, seed);
  simulate::Random random{seed, 49};
  // The variation is known to half a degree.
  out.options.variation_deg = out.truth.variation_deg + 0.5 * random.normal();
  out.options.look_ahead = false;
  out.options.from_log = from_log;
  constexpr double kLeg_s = 180.0;
  if (!from_log) {
    for (const auto& hand : simulate::flown_by_hand(out.truth, out.magnetic_deg, kLeg_s, seed)) {
      AirLeg leg;
      leg.indicated_deg = hand.indicated_deg;
      leg.track_deg = hand.track_true_deg;
      leg.groundspeed_kt = hand.groundspeed_kt;
      out.legs.push_back(leg);
    }
    return out;
  }
  out.truth.heading_error_deg *= 0.7;  // a mean over minutes is better than a reading
  const auto flight = simulate::recorded_flight(out.truth, out.magnetic_deg, 150.0, seed);
  FlightLog log;
  for (std::size_t i = 0; i < flight.time_s.size(); ++i) {
    log.add(flight.time_s[i], flight.indicated_deg[i], flight.track_true_deg[i],
            flight.groundspeed_kt[i], flight.roll_deg[i], std::nan(""));
  }
  for (const FlightStretch& s : find_steady_legs(log, {})) {
    if (s.used) out.legs.push_back(s.leg);
  }
  return out;
}

/// Of a coefficient or a speed: how often its band held, and its error.
struct AirScore {
  int cases = 0, held = 0;
  double squares = 0.0;
  void add(double truth, std::pair<double, double> band, double estimate) {
    ++cases;
    if (band.first <= truth && truth <= band.second) ++held;
    squares += (estimate - truth) * (estimate - truth);
  }
  double share() const { return cases > 0 ? static_cast<double>(held) / cases : 1.0; }
};

}  // namespace qn::test
