// SPDX-License-Identifier: Apache-2.0
#include "acquire/source_health.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "acquire/unit_guess.h"

using namespace qn;

namespace {

TimedReading sample(double time_s, double x, double heading = LinkReading::kNone) {
  TimedReading t;
  t.time_s = t.arrival_s = time_s;
  t.reading.field = {x, 0.0, 40.0};
  t.reading.heading_deg = heading;
  return t;
}

}  // namespace

TEST_CASE("rate, gaps and noise are those of the samples", "[acquire][synthetic]") {
  SourceHealth health;
  double sum = 0.0;
  for (int i = 0; i < 400; ++i) {
    // Twelve uniform numbers less six: mean 0, variance 1.
    double normal = -6.0;
    for (int k = 0; k < 12; ++k) {
      sum = std::fmod(sum * 16807.0 + 12345.0, 2147483647.0);
      normal += sum / 2147483647.0;
    }
    const double late = i >= 200 ? 2.0 : 0.0;  // one pause of 2.05 s
    health.add(sample(0.05 * i + late, 20.0 + 0.01 * i + 0.1 * normal));
  }
  CHECK(health.rate_Hz(0.05 * 399 + 2.0) == Approx(20.0).epsilon(0.03));
  CHECK(health.gaps() == 1);
  CHECK(health.longest_gap_s() == Approx(2.05).margin(1e-9));
  // 255 differences: 1 sigma of a median-based sigma is about 7 %; the slow rise adds nothing.
  CHECK(health.field()[0].noise() == Approx(0.1).epsilon(0.25));
  CHECK(health.field()[2].noise() == 0.0);
  CHECK(health.field_stuck_s() == 0.0);
}

TEST_CASE("a field that never moves is stuck; one axis alone is not", "[acquire][closed-form]") {
  SourceHealth health;
  for (int i = 0; i <= 400; ++i) health.add(sample(0.1 * i, i < 10 ? i : 9.0));
  CHECK(health.field_stuck_s() == Approx(40.0 - 0.9).margin(1e-9));
}

TEST_CASE("two sensors that take turns are noticed, a noisy one is not", "[acquire][closed-form]") {
  SourceHealth two, one;
  for (int i = 0; i < 100; ++i) {
    const double wobble = 0.01 * ((i * 7) % 11);
    two.add(sample(0.1 * i, i % 2 == 0 ? 20.0 + wobble : 23.0 + wobble));
    one.add(sample(0.1 * i, 20.0 + wobble));
  }
  CHECK(two.takes_turns());
  CHECK_FALSE(one.takes_turns());
}

TEST_CASE("a heading that passes north is not noisy", "[acquire][closed-form]") {
  SourceHealth health;
  for (int i = 0; i < 60; ++i) health.add(sample(0.1 * i, 1.0 + i, i % 3 == 0 ? 359.9 : 0.1));
  CHECK(health.heading().noise() < 0.3);
  CHECK_FALSE(health.takes_turns());
}

TEST_CASE("the unit is guessed from the strength of the Earth's field", "[acquire][closed-form]") {
  // 48 uT = 0.48 G = 480 mG = 48000 nT = 0.048 mT, by definition of the gauss.
  CHECK_FALSE(guess_field_unit(48.0, 40.0, 60.0).has_value());
  CHECK(guess_field_unit(480.0, 40.0, 60.0)->column == "mG");
  CHECK(guess_field_unit(480.0, 40.0, 60.0)->words == "gauss x 1000 (milligauss)");
  CHECK(guess_field_unit(0.48, 40.0, 60.0)->column == "G");
  CHECK(guess_field_unit(48000.0, 40.0, 60.0)->column == "nT");
  CHECK(guess_field_unit(0.048, 40.0, 60.0)->column == "mT");
  CHECK_FALSE(guess_field_unit(70.0, 40.0, 60.0).has_value());
}
