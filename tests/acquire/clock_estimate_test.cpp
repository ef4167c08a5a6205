// SPDX-License-Identifier: Apache-2.0
#include "acquire/clock_estimate.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <string>

using namespace qn;

namespace {

class Chance {
 public:
  explicit Chance(std::uint64_t seed) : state_{seed * 2654435769u + 12345u} {}
  double uniform() {
    state_ = state_ * 6364136223846793005u + 1442695040888963407u;
    return (static_cast<double>(state_ >> 11) + 0.5) / 9007199254740992.0;
  }
  double exponential(double mean) { return -mean * std::log(uniform()); }
  double normal(double sigma) {
    return sigma * std::sqrt(-2.0 * std::log(uniform())) * std::cos(6.283185307179586 * uniform());
  }

 private:
  std::uint64_t state_;
};

/// How long bytes are on their way, seconds.
double delay_of(const std::string& kind, Chance& chance) {
  if (kind == "exponential") return 0.002 + chance.exponential(0.005);
  if (kind == "uniform") return 0.016 * chance.uniform();
  if (kind == "normal") return std::max(0.0, 0.03 + chance.normal(0.004));
  return 0.002 + 0.001 * chance.uniform() + (chance.uniform() < 0.1 ? 0.2 * chance.uniform() : 0.0);
}

struct Case {
  ClockEstimate clock;
  double drift = 0.0;
};

Case simulate(const std::string& kind, std::size_t count, std::uint64_t seed) {
  Chance chance{seed};
  Case out;
  out.drift = 2e-4 * (chance.uniform() - 0.5);
  double last = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const double sensor = 1000.0 + 0.05 * static_cast<double>(i);
    const double sent = 7.0 + (sensor - 1000.0) * (1.0 + out.drift);
    last = std::max(last, sent + delay_of(kind, chance));  // bytes do not overtake each other
    out.clock.add(sensor, last);
  }
  return out;
}

}  // namespace

TEST_CASE("a clock without jitter is found to the last digit", "[acquire][closed-form]") {
  ClockEstimate clock;
  // 50 ppm slow: 1 s of the sensor takes 1.00005 s. Powers of two keep the arithmetic exact enough.
  for (int i = 0; i < 200; ++i) clock.add(16.0 + 0.5 * i, 3.0 + 0.5 * i * 1.00005);
  const auto fit = clock.fit();
  REQUIRE(fit.has_value());
  CHECK(fit->drift == Approx(5e-5).epsilon(1e-9));
  CHECK(fit->offset_s == Approx(-13.0).epsilon(1e-12));
  CHECK(fit->delay_95_s < 1e-12);
  CHECK(clock.recording_time_s(16.0 + 50.0) == Approx(3.0 + 50.0 * 1.00005).epsilon(1e-12));
}

TEST_CASE("the drift's 95 % band holds the truth at least 95 times of 100",
          "[acquire][synthetic]") {
  for (const char* kind : {"exponential", "uniform", "normal", "with outliers"}) {
    for (const std::size_t count : {40u, 400u, 2000u}) {
      int held = 0;
      constexpr int kCases = 200;
      for (int seed = 0; seed < kCases; ++seed) {
        const Case c = simulate(kind, count, static_cast<std::uint64_t>(seed));
        const auto fit = c.clock.fit();
        REQUIRE(fit.has_value());
        held += fit->drift_95[0] <= c.drift && c.drift <= fit->drift_95[1] ? 1 : 0;
      }
      INFO(kind << ", " << count << " arrivals: " << held << " of " << kCases);
      // A band of exactly 95 % is below 182 of 200 once in 200 times (binomial, 1 sigma 3.1).
      CHECK(held >= 182);
    }
  }
}

TEST_CASE("the band is narrow enough to be of use", "[acquire][synthetic]") {
  // 100 s at 20 Hz with arrivals up to 16 ms late: a drift of 100 ppm would be 10 ms.
  const auto fit = simulate("uniform", 2000, 3).clock.fit();
  REQUIRE(fit.has_value());
  CHECK((fit->drift_95[1] - fit->drift_95[0]) / 2.0 < 1e-4);
  CHECK(fit->delay_median_s == Approx(0.008).margin(0.0015));  // half of 16 ms
  CHECK(fit->delay_95_s == Approx(0.0152).margin(0.0015));
}

TEST_CASE("no reading is put after its arrival, and jitter is taken out", "[acquire][synthetic]") {
  Chance chance{11};
  ClockEstimate clock;
  double worst_early = 0.0;
  for (int i = 0; i < 4000; ++i) {
    const double sensor = 0.05 * i;
    const double sent = 5.0 + sensor * 1.00004;
    const double arrival = sent + 0.001 + chance.exponential(0.01);
    clock.add(sensor, arrival);
    const double placed = clock.recording_time_s(sensor);
    CHECK(placed <= arrival + 1e-9);
    if (i > 200) worst_early = std::max(worst_early, std::fabs(placed - sent));
  }
  // Arrivals are 11 ms late on average; the line knows them to the shortest delay and a little.
  CHECK(worst_early < 0.004);
}

TEST_CASE("memory of the estimate stays small", "[acquire][synthetic]") {
  // A million arrivals: the even sample is thinned to between 1024 and 2048.
  ClockEstimate clock;
  Chance chance{5};
  double last = 0.0;
  for (int i = 0; i < 1000000; ++i) {
    last = std::max(last, 0.0025 * i + 0.003 * chance.uniform());
    clock.add(0.0025 * i, last);
  }
  const auto fit = clock.fit();
  REQUIRE(fit.has_value());
  CHECK(fit->arrivals == 1000000);
  CHECK(std::fabs(fit->drift) < 1e-6);
}

TEST_CASE("too little is no estimate", "[acquire][closed-form]") {
  ClockEstimate clock;
  clock.add(1.0, 2.0);
  CHECK_FALSE(clock.fit().has_value());
  CHECK(clock.recording_time_s(1.5) == 2.5);
  clock.add(1.0, 2.1);
  clock.add(1.0, 2.2);
  CHECK_FALSE(clock.fit().has_value());  // one sensor time three times: no slope
}
