// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <cstddef>
#include <vector>

#include "estimation/drift_filter.h"

using namespace qn;

namespace {

constexpr double kBlock_s = 0.5;
constexpr double kWhite = 0.02;  // 1 sigma of a block

BlockTimes even_times(std::size_t count) {
  BlockTimes out;
  for (std::size_t b = 0; b < count; ++b) out.time_s.push_back(kBlock_s * static_cast<double>(b));
  out.weight.assign(count, 1.0);
  out.use.assign(count, 1);
  return out;
}

/// White noise about a level that does not wander: a congruential generator's numbers, summed by
/// twelves.
std::vector<double> white(std::size_t count) {
  std::vector<double> out;
  unsigned long long state = 12345;
  for (std::size_t b = 0; b < count; ++b) {
    double sum = -6.0;
    for (int i = 0; i < 12; ++i) {
      state = state * 6364136223846793005ULL + 1442695040888963407ULL;
      sum += static_cast<double>(state >> 11) / 9007199254740992.0;
    }
    out.push_back(kWhite * sum);
  }
  return out;
}

/// How far the level may have walked in a minute, in the noise of one block.
double wanders(const DriftNoise& noise) {
  return std::sqrt(60.0 * noise.level_rate + 60.0 * 60.0 * 60.0 * noise.slope_rate / 3.0) / kWhite;
}

}  // namespace

TEST_CASE("noise without drift is learnt as that", "[estimation][synthetic]") {
  const DriftNoise noise = fit_drift_noise(even_times(1200), white(1200));
  CHECK(std::sqrt(noise.white_variance + noise.slow_variance) == Approx(kWhite).epsilon(0.08));
  CHECK(wanders(noise) < 0.5);
}

TEST_CASE("a few jumps are not taken for drift", "[estimation][synthetic]") {
  // Somebody walks past with steel: 30 sigma for six seconds, and something stays. Taken for drift,
  // they would let the level walk by many sigmas a minute, and every effect would be as uncertain.
  std::vector<double> series = white(1200);
  for (std::size_t b = 300; b < 312; ++b) series[b] += 30.0 * kWhite;
  for (std::size_t b = 800; b < series.size(); ++b) series[b] -= 25.0 * kWhite;
  const DriftNoise noise = fit_drift_noise(even_times(1200), series);
  CHECK(std::sqrt(noise.white_variance + noise.slow_variance) == Approx(kWhite).epsilon(0.1));
  CHECK(wanders(noise) < 1.0);
}

TEST_CASE("drift that is there is learnt", "[estimation][synthetic]") {
  std::vector<double> series = white(1200);
  const std::vector<double> steps = white(1201);
  double level = 0.0;
  for (std::size_t b = 0; b < series.size(); ++b) {
    level += 0.5 * steps[b + 1];  // half a block's noise every block: 0.71 kWhite a root second
    series[b] += level;
  }
  const DriftNoise noise = fit_drift_noise(even_times(1200), series);
  CHECK(std::sqrt(noise.level_rate) == Approx(0.5 * kWhite / std::sqrt(kBlock_s)).epsilon(0.35));
}

TEST_CASE("a search that begins elsewhere ends at the same noise", "[estimation][synthetic]") {
  std::vector<double> series = white(1200);
  const std::vector<double> steps = white(1201);
  double level = 0.0;
  for (std::size_t b = 0; b < series.size(); ++b) {
    level += 0.2 * steps[b + 1];
    series[b] += level;
  }
  BlockTimes times = even_times(1200);
  for (std::size_t b = 0; b < 1200; ++b) times.use[b] = b % 50 < 35 ? 1 : 0;
  const DriftNoise cold = fit_drift_noise(times, series);
  for (const double factor : {1.0, 0.1, 30.0}) {
    DriftNoise about = cold;
    about.level_rate *= factor;
    about.white_variance *= factor;
    about.slope_rate *= 1e3 * factor;
    const DriftNoise found = fit_drift_noise(times, series, about);
    // Two places near the top of one likelihood: far less apart than either is uncertain.
    CHECK(std::sqrt(found.white_variance + found.slow_variance) ==
          Approx(std::sqrt(cold.white_variance + cold.slow_variance)).epsilon(0.03));
    CHECK(wanders(found) == Approx(wanders(cold)).epsilon(0.15));
  }
}
