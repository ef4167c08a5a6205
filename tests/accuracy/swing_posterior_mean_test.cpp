// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_posterior_mean.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>

#include "accuracy/swing_coarse_score.h"

using namespace qn;
using namespace qn::accuracy;

namespace {

// One compass on twelve even headings, turned one way: station minus reading is `deviation_deg`.
SwingTrial trial_of(const std::array<double, 12>& deviation_deg, double rounding_deg) {
  SwingTrial out;
  out.stations = 12;
  out.rounding_deg = rounding_deg;
  for (std::size_t k = 0; k < 12; ++k) {
    SwingReading r;
    r.station_deg = 30.0 * static_cast<double>(k);
    r.indicated_deg = r.station_deg - deviation_deg[k];
    r.compass = compass_name(0);
    r.turn = SwingTurn::clockwise;
    r.row = k;
    out.readings.push_back(r);
  }
  return out;
}

// Least squares at the headings shown: the matrix of normal equations is diagonal but for what
// the readings lie beside even headings, which sweeps over one coefficient at a time settle.
std::array<double, 5> least_squares(const SwingTrial& trial) {
  std::array<double, 5> out{};
  const auto column = [](std::size_t j, double deg) {
    const double z = deg * std::numbers::pi / 180.0;
    const double all[5] = {1.0, std::sin(z), std::cos(z), std::sin(2.0 * z), std::cos(2.0 * z)};
    return all[j];
  };
  for (int sweep = 0; sweep < 100; ++sweep) {
    for (std::size_t j = 0; j < 5; ++j) {
      double with = 0.0, squares = 0.0;
      for (const SwingReading& r : trial.readings) {
        double left = r.station_deg - r.indicated_deg;
        for (std::size_t i = 0; i < 5; ++i) {
          if (i != j) left -= out[i] * column(i, r.indicated_deg);
        }
        with += left * column(j, r.indicated_deg);
        squares += column(j, r.indicated_deg) * column(j, r.indicated_deg);
      }
      out[j] = with / squares;
    }
  }
  return out;
}

// The mean of ten references, drawn about a place that is off by 0.3 degrees.
std::array<double, 5> mean_of_ten(const SwingTrial& trial, double spread_deg) {
  SwingCompass about;
  for (std::size_t j = 0; j < 5; ++j) {
    about.curve.coefficients_deg[j] = 0.3;
    about.covariance_deg2[j][j] = spread_deg * spread_deg;
  }
  about.noise_deg = 1.0;
  std::array<double, 5> out{};
  for (std::uint64_t seed = 0; seed < 10; ++seed) {
    const PosteriorMean one = swing_posterior_mean(trial, about, seed);
    REQUIRE(one.effective >= kEnoughDraws);
    for (std::size_t j = 0; j < 5; ++j) out[j] += one.mean_deg[j] / 10.0;
  }
  return out;
}

}  // namespace

TEST_CASE("the posterior mean of fine readings is that of least squares",
          "[accuracy][closed-form]") {
  // Coefficients of a degree or so and scatter of 0.5, rounded to 0.1.
  const SwingTrial trial =
      trial_of({1.9, 0.4, 1.6, 1.5, -0.1, 0.7, -1.0, -0.3, 0.2, -1.1, 0.6, 0.5}, 0.1);
  const auto expected = least_squares(trial);
  const auto mean = mean_of_ten(trial, 0.4);
  // Ten times 300 draws or more of a law of 0.3 degrees: 0.006, and four times that.
  for (std::size_t j = 0; j < 5; ++j) CHECK(mean[j] == Approx(expected[j]).margin(0.025));
  CHECK(std::fabs(expected[1]) > 0.1);
}

TEST_CASE("what coarse readings cannot tell from nothing has the mean nothing",
          "[accuracy][closed-form]") {
  // Every reading on its mark, in steps of 5 degrees: the law is the same with all signs turned.
  const auto mean = mean_of_ten(trial_of({}, 5.0), 0.6);
  for (const double m : mean) CHECK(m == Approx(0.0).margin(0.05));
}

TEST_CASE("coarse swings have noise below half a step, and their gates", "[accuracy][synthetic]") {
  for (std::uint64_t seed = 0; seed < 100; ++seed) {
    const SwingTrial trial = make_swing_trial("swing-coarse", seed);
    CHECK(trial.noise_deg() < 0.5 * trial.rounding_deg);
    CHECK_FALSE(trial.blunder.planted);
  }
  const ParallelFor one = [](std::size_t count, const std::function<void(std::size_t)>& task) {
    for (std::size_t i = 0; i < count; ++i) task(i);
  };
  const CoverageTable table = run_coarse_table(4, 7, one);
  const std::string text = table.to_markdown("swing-coarse", how_coarse_drawn(), 4);
  CHECK(text.find("Error over that of the posterior mean, coefficient E") != std::string::npos);
  CHECK(text.find("B to E, rounding 5 (allowed: 1.08)") != std::string::npos);
  CHECK(table.refusals() == 0);
}
