// SPDX-License-Identifier: Apache-2.0
#include "estimation/peak_band.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "estimation/gaussian_draws.h"

TEST_CASE("the normal quantile agrees with the table", "[estimation][published]") {
  // Abramowitz & Stegun, table 26.5 (from memory): z of 0.975 and of 0.995.
  CHECK(qn::normal_quantile(0.975) == Approx(1.959963985).epsilon(1e-8));
  CHECK(qn::normal_quantile(0.005) == Approx(-2.575829304).epsilon(1e-8));
  CHECK(qn::normal_quantile(0.5) == Approx(0.0).margin(1e-12));
}

TEST_CASE("draws have the covariance asked for", "[estimation][closed-form]") {
  qn::SquareMatrix covariance{2};
  covariance(0, 0) = 4.0;
  covariance(1, 1) = 1.0;
  covariance(0, 1) = covariance(1, 0) = 1.2;
  const std::size_t n = 20000;
  const auto draws = qn::gaussian_draws(covariance, n, 7);
  double mean = 0.0;
  double xx = 0.0;
  double xy = 0.0;
  for (std::size_t k = 0; k < n; ++k) {
    mean += draws[2 * k];
    xx += draws[2 * k] * draws[2 * k] / n;
    xy += draws[2 * k] * draws[2 * k + 1] / n;
  }
  CHECK(mean == Approx(0.0).margin(1e-9));                                // opposite pairs
  CHECK(xx == Approx(4.0).margin(4.0 * 4.0 * std::sqrt(2.0 / n) * 1.5));  // 4 sigma of a variance
  CHECK(xy == Approx(1.2).margin(0.1));
}

TEST_CASE("far from zero the band of a single point is the normal one",
          "[estimation][closed-form]") {
  qn::SquareMatrix one{1};
  one(0, 0) = 0.01;
  const auto [lo, hi] = qn::peak_band_95({5.0}, qn::gaussian_draws(one, 8000, 3));
  CHECK(lo == Approx(5.0 - 0.196).margin(0.01));  // 1.96 sigma; margin: 4 sigma of the percentile
  CHECK(hi == Approx(5.0 + 0.196).margin(0.01));
}

TEST_CASE("a peak that noise alone explains has a lower end of zero", "[estimation][closed-form]") {
  qn::SquareMatrix one{1};
  one(0, 0) = 1.0;
  const auto [lo, hi] = qn::peak_band_95({0.5}, qn::gaussian_draws(one, 4000, 3));
  CHECK(lo == 0.0);
  CHECK(hi > 0.5);
}
