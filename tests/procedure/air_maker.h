// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <string>
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

/// The answer under a limit just below the truth, so that each `within` is wrong; or why none.
struct SolvedFlight {
  std::optional<AirSolution> air;
  std::string refusal;
};

inline SolvedFlight solved_below_truth(const MadeFlight& flight) {
  AirOptions options = flight.options;
  options.limit = Limit{Angle::degrees(0.97 * flight.worst()), "test"};
  const auto solved = solve_air(flight.legs, options);
  if (!solved) return {std::nullopt, "refused: " + solved.error().what};
  if (!solved.value().wind_known) return {std::nullopt, "unproven: the legs do not tell the wind"};
  return {solved.value(), ""};
}

/// A flight without noise or rounding: true tracks, variation 6 east, A 2, B 5, C -3, D 1.5, E -1.
inline std::vector<AirLeg> quiet_legs(const std::vector<double>& magnetic_deg,
                                      double variation_deg = 6.0) {
  constexpr double kRad = 0.017453292519943295;
  std::vector<AirLeg> legs;
  for (const double m : magnetic_deg) {
    const double air = (m + variation_deg) * kRad;
    const double e = 110.0 * std::sin(air) + 14.0;
    const double n = 110.0 * std::cos(air) - 9.0;
    AirLeg leg;
    leg.indicated_deg = simulate::shown_on({2.0, 5.0, -3.0, 1.5, -1.0}, m);
    leg.track_deg = std::fmod(std::atan2(e, n) / kRad + 360.0, 360.0);
    leg.groundspeed_kt = std::hypot(e, n);
    legs.push_back(leg);
  }
  return legs;
}

/// A reading of one leg written down wrong.
struct Blunder {
  std::size_t leg = 0;
  bool of_track = false;
  double by_deg = 0.0;
};

inline double turned(double deg, double by_deg) {
  const double out = std::fmod(deg + by_deg + 720.0, 360.0);
  return out >= 360.0 ? 0.0 : out;
}

/// Wrong by 10, 20 or 30 either way (10 as often as the others together), by anything between, or
/// two digits changed over, where that is 10 degrees or more.
inline double misreading_of(double read_deg, simulate::Random& random) {
  const double sign = random.uniform(0.0, 1.0) < 0.5 ? -1.0 : 1.0;
  const double kind = random.uniform(0.0, 1.0);
  const int whole = static_cast<int>(std::lround(read_deg)) % 360;
  const int swapped = 100 * (whole / 100) + 10 * (whole % 10) + whole / 10 % 10;
  if (kind < 0.15 && std::abs(swapped - whole) >= 10 && swapped < 360) return swapped - whole;
  if (kind < 0.60) return sign * (kind < 0.40 ? 10.0 : kind < 0.50 ? 20.0 : 30.0);
  if (kind < 0.75) return sign * 10.0;
  return sign * std::round(random.uniform(10.0, 30.0));
}

/// One reading of `flight` made wrong: a heading in nine of ten, else a track.
inline Blunder plant_misreading(MadeFlight& flight, std::uint64_t seed) {
  simulate::Random random{seed, 57};
  Blunder out;
  out.leg = random.below(flight.legs.size());
  out.of_track = random.uniform(0.0, 1.0) < 0.1;
  AirLeg& leg = flight.legs[out.leg];
  std::optional<double>& read = out.of_track ? leg.track_deg : leg.indicated_deg;
  out.by_deg = misreading_of(*read, random);
  read = turned(*read, out.by_deg);
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
