// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include "procedure/swing_solve.h"
#include "simulate/random.h"

namespace qn::test {

/// A compass among iron in an aircraft that is turned in space, by its own geometry: no heading
/// formula, no sine series and no first order of a tilt is shared with the estimator. Fields in
/// units of the Earth's horizontal one.
struct IronCompass {
  double tan_dip = 1.7;
  std::array<std::array<double, 3>, 3> soft{};  ///< a b c, d e f, g h k
  std::array<double, 3> hard{};                 ///< P Q R

  /// What a compass that keeps itself level shows, degrees.
  double reads(double heading_deg, double pitch_deg, double roll_deg) const {
    constexpr double kRad = std::numbers::pi / 180.0;
    const double ch = std::cos(heading_deg * kRad), sh = std::sin(heading_deg * kRad);
    const double cp = std::cos(pitch_deg * kRad), sp = std::sin(pitch_deg * kRad);
    const double cr = std::cos(roll_deg * kRad), sr = std::sin(roll_deg * kRad);
    // Level axes (ahead, right, down) to body axes: the nose up, then the right wing down.
    const double ahead = ch, right = -sh, down = tan_dip;
    const double x = cp * ahead - sp * down, down_1 = sp * ahead + cp * down;
    const std::array<double, 3> body = {x, cr * right + sr * down_1, cr * down_1 - sr * right};
    std::array<double, 3> felt = body;
    for (std::size_t i = 0; i < 3; ++i) {
      felt[i] += hard[i];
      for (std::size_t j = 0; j < 3; ++j) felt[i] += soft[i][j] * body[j];
    }
    // And back to level axes, the other way round.
    const double level_right = cr * felt[1] - sr * felt[2];
    const double down_2 = sr * felt[1] + cr * felt[2];
    const double level_ahead = cp * felt[0] + sp * down_2;
    const double shown = std::atan2(-level_right, level_ahead) / kRad;
    return shown < 0.0 ? shown + 360.0 : shown;
  }

  /// Magnetic minus shown, of the level aircraft, where the compass shows z: by halving.
  double level_deviation(double z_deg) const {
    double lo = z_deg - 90.0, hi = z_deg + 90.0;
    for (int i = 0; i < 50; ++i) {
      const double heading = 0.5 * (lo + hi);
      const double off = std::remainder(reads(heading, 0.0, 0.0) - z_deg, 360.0);
      (off < 0.0 ? lo : hi) = heading;
    }
    return 0.5 * (lo + hi) - z_deg;
  }
};

/// A to E of the level aircraft: of the sine series the sums over the circle, of the exact equation
/// Smith's from the iron, times 57.3.
inline std::array<double, 5> level_coefficients(const IronCompass& c, bool exact) {
  const auto& s = c.soft;
  if (exact) {
    const double share = 1.0 + 0.5 * (s[0][0] + s[1][1]);
    std::array<double, 5> out = {0.5 * (s[1][0] - s[0][1]), s[0][2] * c.tan_dip + c.hard[0],
                                 s[1][2] * c.tan_dip + c.hard[1], 0.5 * (s[0][0] - s[1][1]),
                                 0.5 * (s[1][0] + s[0][1])};
    for (double& x : out) x *= 180.0 / std::numbers::pi / share;
    return out;
  }
  std::array<double, 5> out{};
  constexpr int kPoints = 72;
  for (int k = 0; k < kPoints; ++k) {
    const double z_deg = 360.0 / kPoints * k, z = z_deg * std::numbers::pi / 180.0;
    const double d = c.level_deviation(z_deg) / kPoints;
    const double wave[5] = {1.0, 2.0 * std::sin(z), 2.0 * std::cos(z), 2.0 * std::sin(2.0 * z),
                            2.0 * std::cos(2.0 * z)};
    for (std::size_t j = 0; j < 5; ++j) out[j] += wave[j] * d;
  }
  return out;
}

enum class Stood { tail_low, uneven, sloping };

struct TiltedSwing {
  std::vector<IronCompass> compasses;
  std::vector<SwingReading> readings;
  Stood stood = Stood::tail_low;
  std::size_t stations = 8;
  double rounding_deg = 1.0;
};

/// The iron comes from what the solver believes of it beforehand: R, k, a and e so that the
/// vertical pull is 0.2 of the horizontal field, and D, E and A (soft iron) 0.1 over the tangent
/// of the dip (1 sigma).
inline IronCompass drawn_iron(simulate::Random& random, double tan_dip) {
  IronCompass out;
  out.tan_dip = tan_dip;
  const double askew = 0.1 / tan_dip;  // b, d, and half of a - e
  const double both = 0.03 * random.normal(), apart = askew * random.normal();
  auto& s = out.soft;
  s[0][0] = both + apart;
  s[1][1] = both - apart;
  s[0][1] = askew * random.normal();
  s[1][0] = askew * random.normal();
  for (double* vertical : {&s[0][2], &s[1][2], &s[2][0], &s[2][1]}) {
    *vertical = 0.02 * random.normal();
  }
  s[2][2] = 0.04 * random.normal();
  // B and C 4 degrees (1 sigma), as compasses that have been adjusted once.
  for (std::size_t i = 0; i < 2; ++i) out.hard[i] = 0.07 * random.normal() - s[i][2] * tan_dip;
  const double soft_down = tan_dip * std::hypot(0.04, 0.03);
  out.hard[2] = std::sqrt(std::max(0.04 - soft_down * soft_down, 0.0)) * random.normal();
  return out;
}

/// Attitudes: the tail low by 8 to 13 degrees on nearly level ground; every stop tilted its own way
/// by 2 degrees (1 sigma); an apron that slopes by 1 to 3 degrees one way.
inline TiltedSwing make_tilted_swing(std::uint64_t seed) {
  simulate::Random random{seed, 53};
  TiltedSwing out;
  const auto pick = [&](double n) { return static_cast<int>(random.uniform(0.0, n)); };
  out.stood = static_cast<Stood>(pick(3.0));
  const std::array<std::size_t, 4> counts = {8, 12, 16, 24};
  out.stations = counts[static_cast<std::size_t>(pick(4.0))];
  const bool both_ways = pick(2.0) == 1;
  const int compasses = 1 + pick(3.0) / 2;  // two in one of three
  const std::array<double, 3> steps = {0.1, 1.0, 5.0};
  const double step = out.rounding_deg = steps[static_cast<std::size_t>(pick(3.0))];
  const double tan_dip = std::tan(random.uniform(50.0, 70.0) * std::numbers::pi / 180.0);
  for (int c = 0; c < compasses; ++c) out.compasses.push_back(drawn_iron(random, tan_dip));
  const double north = 0.5 * random.normal(), lag = 0.5 * random.normal();
  const double sigma = 0.7 * random.uniform(0.6, 1.6);
  const double tail = random.uniform(8.0, 13.0), wing = random.normal();
  const double slope = random.uniform(1.0, 3.0), uphill = random.uniform(0.0, 360.0);
  for (int way = 0; way < (both_ways ? 2 : 1); ++way) {
    for (std::size_t k = 0; k < out.stations; ++k) {
      const double mark = 360.0 / static_cast<double>(out.stations) * static_cast<double>(k);
      double pitch = 0.3 * random.normal(), roll = 0.3 * random.normal();
      const double to_uphill = (mark - uphill) * std::numbers::pi / 180.0;
      if (out.stood == Stood::tail_low) {
        pitch += tail;
        roll += wing;
      } else if (out.stood == Stood::uneven) {
        pitch += 2.0 * random.normal();
        roll += 2.0 * random.normal();
      } else {
        pitch += slope * std::cos(to_uphill);
        roll += slope * std::sin(to_uphill);
      }
      const double stands = mark + north + sigma * random.normal() - (way == 0 ? 0.5 : -0.5) * lag;
      for (std::size_t c = 0; c < out.compasses.size(); ++c) {
        double shown = out.compasses[c].reads(stands, pitch, roll) + sigma * random.normal();
        shown = std::fmod(step * std::round(shown / step) + 720.0, 360.0);
        SwingReading r;
        r.station_deg = mark;
        r.indicated_deg = shown;
        r.compass = c == 0 ? "standby" : "remote";
        r.turn = way == 0 ? SwingTurn::clockwise : SwingTurn::counterclockwise;
        r.row = out.readings.size();
        r.pitch_deg = 0.1 * std::round(10.0 * pitch);
        r.roll_deg = 0.1 * std::round(10.0 * roll);
        out.readings.push_back(r);
      }
    }
  }
  return out;
}

}  // namespace qn::test
