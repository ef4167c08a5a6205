// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "simulate/attitude.h"
#include "simulate/random.h"

namespace qn::simulate {

/// Turned by hand through many attitudes after a level rest.
struct Tumble {
  double rest_s = 5.0;
  double turning_s = 60.0;
  double speed_rad_s = 1.0;  ///< typical rate of turn
  /// Below 90: roll and pitch stay within this, the heading goes all round. Else everywhere.
  double reach_deg = 90.0;
};

/// One level turn, a little uneven, with a rest before and after.
struct Swing {
  double rest_s = 5.0;
  double arc_deg = 360.0;  ///< how far, counted in degrees turned; 720: twice round
  double rate_deg_s = 6.0;
  double unevenness = 0.2;  ///< the rate wanders by this share
  double start_heading_deg = 0.0;
  bool anticlockwise = false;
};

/// Turned from mark to mark and stopped on each.
struct Stations {
  std::size_t count = 12;  ///< evenly spread, the first on first_heading_deg
  double first_heading_deg = 0.0;
  double dwell_s = 12.0;
  double turn_s = 8.0;
  double placement_sigma_deg = 0.0;  ///< how well the aircraft stands on each mark
  double north_sigma_deg = 0.0;      ///< common error of the rose
  std::size_t missed = 0;            ///< row (from 1) on which the aircraft did not stop; 0: none
  std::size_t repeated = 0;          ///< row (from 1) visited twice: swung off it and back; 0: none
};

/// A stop and what it belongs to.
struct Stop {
  std::size_t row = 0;            ///< of the stations file, from 0
  double station_deg = 0.0;       ///< as the file says
  double true_heading_deg = 0.0;  ///< of the wheels' line, placement and north error included
  double from_s = 0.0;
  double to_s = 0.0;
};

/// Attitude at each time of a grid, and what was planned.
struct MotionPath {
  std::vector<Matrix3> body_from_earth;
  std::vector<Stop> stops;
  std::vector<double> station_rows_deg;  ///< the stations file, in order
  double north_error_deg = 0.0;          ///< true heading minus what the rose says, common part
};

/// How long each lasts, in seconds.
double duration_s(const Tumble& plan);
double duration_s(const Swing& plan);
double duration_s(const Stations& plan);

MotionPath tumble_path(const Tumble& plan, const std::vector<double>& time_s, Random random);
MotionPath swing_path(const Swing& plan, const Slope& slope, const DeckTilt& deck,
                      const std::vector<double>& time_s, Random random);
MotionPath stations_path(const Stations& plan, const Slope& slope, const DeckTilt& deck,
                         const std::vector<double>& time_s, Random random);

}  // namespace qn::simulate
