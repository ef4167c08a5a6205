// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace qn::simulate {

/// Everything about a flight that an estimator must not see. Winds as where they blow to.
struct FlightTruth {
  double tas_kt = 105.0;
  std::array<double, 2> wind_kt{12.0, -8.0};        ///< east, north, in the middle of the flight
  std::array<double, 2> wind_change_kt_per_hour{};  ///< steady
  std::array<double, 5> coefficients_deg{};         ///< A..E, deviation over indicated heading
  double variation_deg = 0.0;                       ///< of the place, east positive
  double sideslip_deg = 0.0;                        ///< constant: the air comes from the left
  double heading_wander_deg = 1.0, airspeed_wander_kt = 1.0, wind_wander_kt = 0.7;
  double heading_error_deg = 0.5;  ///< of one leg's mean or reading
  double gps_error_kt = 0.2;
  double display_step_deg = 1.0;
};

/// Where a leg was aimed at, and when it was flown.
struct FlownLeg {
  double magnetic_deg = 0.0;
  double from_s = 0.0, to_s = 0.0;
};

/// What was written down by hand on a leg.
struct HandLeg {
  double indicated_deg = 0.0, track_true_deg = 0.0, groundspeed_kt = 0.0;
};

/// A recording, one row a second.
struct SimulatedFlight {
  std::vector<double> time_s, indicated_deg, track_true_deg, groundspeed_kt, roll_deg;
  std::vector<FlownLeg> legs;  ///< wings level from, to
};

/// What a display with these coefficients shows on a magnetic heading; found by halving, so that
/// no geometry is shared with an estimator.
double shown_on(const std::array<double, 5>& coefficients_deg, double magnetic_deg);

/// A flight nobody has flown: airspeed, wind, its change, coefficients, sideslip, variation.
FlightTruth invented_flight(std::uint64_t seed);
/// Headings for `legs` legs of it, in one of three patterns: around, a box flown again, anyhow.
std::vector<double> invented_headings(std::size_t legs, std::uint64_t seed);

/// Readings written down by hand, headings and tracks to a degree, speeds to a knot.
std::vector<HandLeg> flown_by_hand(const FlightTruth& truth,
                                   const std::vector<double>& magnetic_deg, double leg_s,
                                   std::uint64_t seed);

/// The same as a recording: a climb in front, legs of `leg_s` with turns of 3 degrees a second.
SimulatedFlight recorded_flight(const FlightTruth& truth, const std::vector<double>& magnetic_deg,
                                double leg_s, std::uint64_t seed);

}  // namespace qn::simulate
