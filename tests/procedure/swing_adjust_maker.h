// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "procedure/swing_adjust.h"
#include "simulate/random.h"

namespace qn::test {

inline SwingReading plain_reading(double station_deg, double indicated_deg, std::size_t row) {
  SwingReading r;
  r.station_deg = station_deg;
  r.indicated_deg = indicated_deg;
  r.compass = "compass";
  r.row = row;
  r.roll_deg = r.pitch_deg = std::nan("");
  return r;
}

/// A compass with screws, by its own geometry: what is read is found by halving.
struct ScrewedCompass {
  std::array<double, 5> coefficients_deg{};

  static std::array<double, 5> waves(double z_deg) {
    const double z = z_deg * std::numbers::pi / 180.0;
    return {1.0, std::sin(z), std::cos(z), std::sin(2 * z), std::cos(2 * z)};
  }
  double deviation(double z_deg) const {
    const auto w = waves(z_deg);
    double sum = 0.0;
    for (std::size_t j = 0; j < 5; ++j) sum += w[j] * coefficients_deg[j];
    return sum;
  }
  double worst() const {
    double most = 0.0;
    for (int z = 0; z < 720; ++z) most = std::max(most, std::fabs(deviation(0.5 * z)));
    return most;
  }
  double reads(double magnetic_deg) const {
    double lo = magnetic_deg - 90.0, hi = magnetic_deg + 90.0;
    for (int i = 0; i < 60; ++i) {
      const double z = 0.5 * (lo + hi);
      (z + deviation(z) < magnetic_deg ? lo : hi) = z;
    }
    return std::fmod(0.5 * (lo + hi) + 360.0, 360.0);
  }
  /// Turns A, B or C until it reads so.
  void turn(char adjuster, double magnetic_deg, double until_deg) {
    const double wanted = std::remainder(magnetic_deg - until_deg, 360.0);
    const auto j = static_cast<std::size_t>(adjuster - 'A');
    coefficients_deg[j] += (wanted - deviation(until_deg)) / waves(until_deg)[j];
  }
};

struct AdjustTally {
  double screws = 0.0;  ///< share of B and C, after, in their bands
  double worst = 0.0;   ///< share of largest deviations, after, in theirs
};

/// The size of the noise as the solver believes it: 4 degrees of freedom about what it assumes.
inline double believed_size(simulate::Random& random) {
  double chi2 = 0.0;
  for (int k = 0; k < 4; ++k) chi2 += std::pow(random.normal(), 2);
  return std::sqrt(4.0 / chi2);
}

/// A compass that was read on so many marks and turned as the answer says.
struct TurnedCompass {
  ScrewedCompass compass;
  SwingAdjustment answer;
};

/// D, E and the size of the noise come from what the solver believes beforehand: four marks do not
/// tell them.
inline std::optional<TurnedCompass> turned_compass(simulate::Random& random, int marks,
                                                   AdjustRule rule) {
  ScrewedCompass compass;
  const double usual[5] = {1.5, 5.0, 5.0, 3.0, 3.0};
  for (std::size_t j = 0; j < 5; ++j) compass.coefficients_deg[j] = usual[j] * random.normal();
  const double north = 0.5 * random.normal();
  // One direction of turn: half the difference between the two is a shift like A.
  const double lag = 0.25 * random.normal();
  const double sigma = 0.7 * believed_size(random);
  std::vector<SwingReading> readings;
  double placed = 0.0;
  for (int k = 0; k < marks; ++k) {
    const double mark = 360.0 / marks * k;
    placed = sigma * random.normal();
    const double seen = compass.reads(mark + north + lag + placed) + sigma * random.normal();
    readings.push_back(
        plain_reading(mark, std::fmod(std::round(seen) + 360.0, 360.0), readings.size()));
  }
  SwingAdjustOptions options;
  options.rule = rule;
  const auto plan = adjust_swing(readings, options);
  if (!plan) return std::nullopt;
  const SwingAdjustment& answer = plan.value().compasses[0];
  double stands = readings.back().station_deg;
  for (const AdjusterTurn& turn : answer.turns) {
    if (turn.station_deg != stands) placed = sigma * random.normal();
    stands = turn.station_deg;
    // The screw is turned until the reading, with its error, seems to be the one to set.
    const double until = turn.set_deg + sigma * random.normal() + random.uniform(-0.5, 0.5);
    compass.turn(turn.adjuster, stands + north + lag + placed, until);
  }
  return TurnedCompass{compass, answer};
}

inline AdjustTally adjusted_swings(int count, std::uint64_t seed) {
  simulate::Random random{seed, 5};
  int screws = 0, worst = 0;
  for (int n = 0; n < count; ++n) {
    const auto turned = turned_compass(
        random, n % 2 == 0 ? 4 : 8, n % 3 == 0 ? AdjustRule::halving : AdjustRule::least_squares);
    if (!turned) continue;
    const auto& [compass, a] = *turned;
    for (const std::size_t j : {1U, 2U}) {
      if (std::fabs(a.after_deg[j] - compass.coefficients_deg[j]) < a.after_95_deg[j]) ++screws;
    }
    const double truth = compass.worst();
    if (a.worst_after_95_deg.first <= truth && truth <= a.worst_after_95_deg.second) ++worst;
  }
  return {screws / (2.0 * count), worst / static_cast<double>(count)};
}

}  // namespace qn::test
