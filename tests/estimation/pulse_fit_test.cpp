// SPDX-License-Identifier: Apache-2.0
#include "estimation/pulse_fit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace qn;

namespace {

constexpr double kPiece_s = 0.2;

// Seconds of pulse up to `at_s` of a train that begins at 0.
double pulse_seconds(double at_s, double period_s, double duty) {
  const double whole = std::floor(at_s / period_s);
  return whole * duty * period_s + std::min(at_s - whole * period_s, duty * period_s);
}

// Readings of `pieces` pieces, a pulse beginning at start_s, on a level and a slope of their own.
PulseStretch stretch_of(const Pulses& truth, double start_s, std::size_t pieces, double noise,
                        std::mt19937& random) {
  std::normal_distribution<double> normal{0.0, 1.0};
  PulseStretch out;
  for (std::size_t k = 0; k < pieces; ++k) {
    if (k % 17 == 5) continue;  // some are missing
    const double from = static_cast<double>(k) * kPiece_s - start_s + 100.0 * truth.period_s;
    const double share = (pulse_seconds(from + kPiece_s, truth.period_s, truth.duty) -
                          pulse_seconds(from, truth.period_s, truth.duty)) /
                         kPiece_s;
    out.piece.push_back(k);
    for (std::size_t a = 0; a < 3; ++a) {
      out.reading[a].push_back(7.0 - 0.01 * static_cast<double>(k) + share * truth.height[a] +
                               noise * normal(random));
    }
  }
  return out;
}

}  // namespace

TEST_CASE("pulses without noise are found to the digit", "[estimation][closed-form]") {
  std::mt19937 random{1};
  const Pulses truth{1.37, 0.23, {0.41, 0.9}, {0.8, -0.3, 0.1}, 0.0};
  const std::vector<PulseStretch> seen{stretch_of(truth, 0.41, 70, 0.0, random),
                                       stretch_of(truth, 0.9, 55, 0.0, random)};
  const Pulses found =
      fit_pulses(seen, kPiece_s, {1.36, 0.3, {0.5, 0.8}, {}, -1.0}, {1e-4, 1e-4, 1e-4});
  CHECK(found.period_s == Approx(truth.period_s).epsilon(1e-5));
  CHECK(found.duty == Approx(truth.duty).epsilon(1e-3));
  for (std::size_t a = 0; a < 3; ++a)
    CHECK(found.height[a] == Approx(truth.height[a]).margin(1e-3));
  CHECK(found.start_s[0] == Approx(0.41).margin(1e-3));
  CHECK(found.start_s[1] == Approx(0.9).margin(1e-3));
  // Of whole periods the share is the duty, whatever their phase.
  CHECK(found.share(0.13, 0.13 + 3.0 * found.period_s, 0.41) == Approx(found.duty).epsilon(1e-9));
}

TEST_CASE("the mean of pulses is found without bias, however coarse the pieces",
          "[estimation][monte-carlo]") {
  // A pulse of 0.1 s in pieces of 0.2 s: its length and height cannot be told apart, their product
  // can. Its sigma to first order, the moments known: noise over the root of the sum of squares of
  // the levelled share, over the duty; moments have to be found as well, so a little more.
  std::mt19937 random{20};
  double sum = 0.0, square = 0.0;
  constexpr int kRuns = 200;
  const Pulses truth{1.37, 0.073, {0.0}, {2.0, 0.7, 0.0}, 0.0};
  for (int run = 0; run < kRuns; ++run) {
    const double start = 0.006 * run;
    const std::vector<PulseStretch> seen{stretch_of(truth, start, 80, 0.05, random)};
    const Pulses found = fit_pulses(seen, kPiece_s, {1.365, 0.1, {start + 0.05}, {}, -1.0},
                                    {0.0025, 0.0025, 0.0025});
    REQUIRE(found.gain > 0.0);
    const double off = found.duty * found.height[0] - truth.duty * truth.height[0];
    sum += off;
    square += off * off;
  }
  const double mean = sum / kRuns;
  const double sd = std::sqrt(square / kRuns - mean * mean);
  INFO("mean " << mean << " sd " << sd);
  CHECK(std::abs(mean) < 4.0 * sd / std::sqrt(kRuns));
  CHECK(sd < 0.004);  // of a mean of 0.146
}
