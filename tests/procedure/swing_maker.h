// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "procedure/swing_solve.h"
#include "simulate/random.h"

namespace qn::test {

struct MadeSwing {
  std::array<double, 5> truth{};
  double north_deg = 0.0;  ///< error of the rose: the true A is what the readings show plus this
  double hysteresis_deg = 0.0;
  std::vector<SwingReading> readings;

  double deviation(double z_deg) const {
    const double z = z_deg * std::numbers::pi / 180.0;
    return truth[0] + truth[1] * std::sin(z) + truth[2] * std::cos(z) + truth[3] * std::sin(2 * z) +
           truth[4] * std::cos(2 * z);
  }
  double worst() const {
    double most = 0.0;
    for (int z = 0; z < 720; ++z) most = std::max(most, std::fabs(deviation(0.5 * z)));
    return most;
  }
};

struct SwingCase {
  std::size_t stations = 8;
  bool both_turns = false;
  double rounding_deg = 1.0;
  double reading_sigma_deg = 0.7, station_sigma_deg = 0.7;
  double north_sigma_deg = 0.5, hysteresis_sigma_deg = 0.5;
  double size = 1.0;  ///< times usual coefficients
};

/// What would be read: found by halving, so that no geometry is shared with the estimator.
inline double read_on(const MadeSwing& swing, double magnetic_deg) {
  double lo = magnetic_deg - 90.0;
  double hi = magnetic_deg + 90.0;
  for (int i = 0; i < 60; ++i) {
    const double z = 0.5 * (lo + hi);
    (z + swing.deviation(z) < magnetic_deg ? lo : hi) = z;
  }
  return 0.5 * (lo + hi);
}

inline double rounded(double deg, double step) {
  double r = step > 0.0 ? step * std::round(deg / step) : deg;
  r = std::fmod(r, 360.0);
  return r < 0.0 ? r + 360.0 : r;
}

inline MadeSwing make_swing(const SwingCase& c, std::uint64_t seed) {
  simulate::Random random{seed, 17};
  MadeSwing out;
  const double usual[5] = {1.5, 4.0, 4.0, 1.0, 0.7};
  for (std::size_t j = 0; j < 5; ++j) out.truth[j] = c.size * usual[j] * random.normal();
  out.north_deg = c.north_sigma_deg * random.normal();
  out.hysteresis_deg = c.hysteresis_sigma_deg * random.normal();
  std::size_t row = 0;
  for (int turn = 0; turn < (c.both_turns ? 2 : 1); ++turn) {
    for (std::size_t k = 0; k < c.stations; ++k) {
      const double station = 360.0 * static_cast<double>(k) / static_cast<double>(c.stations);
      const double stands = station + out.north_deg + c.station_sigma_deg * random.normal() -
                            (turn == 0 ? 0.5 : -0.5) * out.hysteresis_deg;
      SwingReading r;
      r.station_deg = station;
      r.indicated_deg =
          rounded(read_on(out, stands) + c.reading_sigma_deg * random.normal(), c.rounding_deg);
      r.compass = "standby";
      r.turn = turn == 0 ? SwingTurn::clockwise : SwingTurn::counterclockwise;
      r.row = row++;
      r.roll_deg = r.pitch_deg = std::nan("");
      out.readings.push_back(r);
    }
  }
  return out;
}

/// Shares of swings whose truth lies in the band, and what else is counted.
struct SwingTally {
  int swings = 0;
  std::array<int, 5> held{};
  int worst_held = 0, curve_held = 0, named = 0, suspected = 0, lacking = 0, false_within = 0;
  std::array<double, 5> squares{};
  double worst_width = 0.0;

  double coefficient_share() const {
    int sum = 0;
    for (const int h : held) sum += h;
    return sum / (5.0 * swings);
  }
  double share(int count) const { return static_cast<double>(count) / swings; }
};

inline void count(SwingTally& tally, const MadeSwing& made, const SwingCompass& found) {
  ++tally.swings;
  for (std::size_t j = 0; j < 5; ++j) {
    const auto [lo, hi] = found.band_95_deg[j];
    if (lo <= made.truth[j] && made.truth[j] <= hi) ++tally.held[j];
    const double miss = found.curve.coefficients_deg[j] - made.truth[j];
    tally.squares[j] += miss * miss;
  }
  const double worst = made.worst();
  if (found.worst_95_deg.first <= worst && worst <= found.worst_95_deg.second) ++tally.worst_held;
  const SwingPoint& point = found.points[static_cast<std::size_t>(tally.swings) % 36];
  const double there = made.deviation(point.indicated_deg);
  if (point.lo_deg <= there && there <= point.hi_deg) ++tally.curve_held;
  if (!found.gross.empty()) ++tally.named;
  if (!found.suspects.empty()) ++tally.suspected;
  if (found.lack_of_fit_p && *found.lack_of_fit_p < 0.05) ++tally.lacking;
  tally.worst_width += found.worst_95_deg.second - found.worst_95_deg.first;
}

}  // namespace qn::test
