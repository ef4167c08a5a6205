// SPDX-License-Identifier: Apache-2.0
#include "estimation/length_band.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "estimation/gaussian_draws.h"

namespace {

qn::PlaneEstimate round_estimate(double length, double sigma) {
  return {.x = 0.6 * length, .y = 0.8 * length, .var_x = sigma * sigma, .var_y = sigma * sigma};
}

// Share of runs in which the band of the length holds the truth, and in which its upper end does.
struct Coverage {
  double both = 0.0, upper = 0.0;
};
Coverage plane_coverage(double truth_x, double truth_y, const qn::SquareMatrix& v, std::size_t n,
                        std::uint64_t seed) {
  const auto draws = qn::gaussian_draws(v, n, seed);
  const double truth = std::hypot(truth_x, truth_y);
  Coverage out;
  for (std::size_t k = 0; k < n; ++k) {
    const auto [lo, hi] = qn::plane_length_band_95({.x = truth_x + draws[2 * k],
                                                    .y = truth_y + draws[2 * k + 1],
                                                    .var_x = v(0, 0),
                                                    .cov_xy = v(0, 1),
                                                    .var_y = v(1, 1)});
    if (truth <= hi) out.upper += 1.0 / static_cast<double>(n);
    if (lo <= truth && truth <= hi) out.both += 1.0 / static_cast<double>(n);
  }
  return out;
}

}  // namespace

TEST_CASE("a centred round vector has the length of Rayleigh's law", "[estimation][closed-form]") {
  for (const double r : {0.1, 0.5, 1.0, 2.0, 3.0, 5.0}) {
    // 1 - exp(-r^2 / 2 s^2)
    CHECK(qn::probability_shorter(round_estimate(0.0, 1.0), r) ==
          Approx(1.0 - std::exp(-0.5 * r * r)).margin(1e-8));
  }
}

TEST_CASE("the noncentral law agrees with its series", "[estimation][closed-form]") {
  // Sum over Poisson weights of central chi-square laws with 2, 4, 6 ... degrees of freedom.
  for (const double length : {0.5, 1.0, 3.0, 6.0}) {
    for (const double r : {0.5, 2.0, 4.0, 7.0}) {
      const double half = 0.5 * length * length;
      double poisson = std::exp(-half);
      double term = std::exp(-0.5 * r * r);
      double above = term;
      double sum = 0.0;
      for (int j = 0; j < 200; ++j) {
        sum += poisson * (1.0 - above);
        poisson *= half / (j + 1);
        term *= 0.5 * r * r / (j + 1);
        above += term;
      }
      CHECK(qn::probability_shorter(round_estimate(length, 1.0), r) == Approx(sum).margin(1e-7));
    }
  }
}

TEST_CASE("an uneven law agrees with counting draws", "[estimation][synthetic]") {
  qn::SquareMatrix v{2};
  v(0, 0) = 1.0;
  v(1, 1) = 0.09;
  v(0, 1) = v(1, 0) = 0.15;
  const std::size_t n = 200000;
  const auto draws = qn::gaussian_draws(v, n, 5);
  for (const double x : {0.0, 1.5, 4.0}) {
    for (const double r : {0.5, 1.5, 4.0}) {
      std::size_t shorter = 0;
      for (std::size_t k = 0; k < n; ++k) {
        if (std::hypot(x + draws[2 * k], 0.7 + draws[2 * k + 1]) < r) ++shorter;
      }
      const double share = static_cast<double>(shorter) / static_cast<double>(n);
      CHECK(qn::probability_shorter({.x = x, .y = 0.7, .var_x = 1.0, .cov_xy = 0.15, .var_y = 0.09},
                                    r) ==
            Approx(share).margin(4.0 * 0.5 / std::sqrt(static_cast<double>(n))));  // 4 sigma
    }
  }
}

TEST_CASE("the lower end leaves zero where noise alone no longer explains the length",
          "[estimation][closed-form]") {
  // sqrt(-2 ln 0.025) = 2.7162 sigma
  CHECK(qn::plane_length_band_95(round_estimate(2.71, 1.0)).first == 0.0);
  CHECK(qn::plane_length_band_95(round_estimate(2.73, 1.0)).first > 0.0);
}

TEST_CASE("the ends of the band are lengths at which the observed one is just no outlier",
          "[estimation][closed-form]") {
  for (const double length : {3.0, 5.0, 20.0, 400.0}) {
    const auto [lo, hi] = qn::plane_length_band_95(round_estimate(length, 1.0));
    CHECK(qn::probability_shorter(round_estimate(lo, 1.0), length) == Approx(0.975).margin(2e-4));
    CHECK(qn::probability_shorter(round_estimate(hi, 1.0), length) == Approx(0.025).margin(2e-4));
  }
  const auto [lo, hi] = qn::plane_length_band_95(round_estimate(400.0, 1.0));
  CHECK(lo == Approx(400.0 - 1.95996).margin(0.005));  // bias 1 / 800, tolerance of the search 1e-3
  CHECK(hi == Approx(400.0 + 1.95996).margin(0.005));
}

TEST_CASE("a vector near zero keeps an upper end", "[estimation][closed-form]") {
  CHECK(qn::plane_length_band_95(round_estimate(0.0, 0.2)).second >= 1.95 * 0.2);
  CHECK(qn::plane_length_band_95(round_estimate(0.01, 0.2)).second >= 1.95 * 0.2);
  const auto exact = qn::plane_length_band_95(round_estimate(0.3, 0.0));
  CHECK(exact.first == Approx(0.3));
  CHECK(exact.second == Approx(0.3));
}

TEST_CASE("the band of a length holds the truth in 95 of 100 runs",
          "[estimation][synthetic][long]") {
  qn::SquareMatrix even{2};
  even(0, 0) = even(1, 1) = 1.0;
  qn::SquareMatrix uneven{2};
  uneven(0, 0) = 1.0;
  uneven(1, 1) = 0.04;
  uneven(0, 1) = uneven(1, 0) = 0.1;
  for (const auto& v : {even, uneven}) {
    for (const double length : {0.0, 0.5, 1.0, 3.5, 6.0, 30.0}) {
      for (const double turn : {0.0, 0.8, 1.57, 2.3}) {
        const Coverage c =
            plane_coverage(length * std::cos(turn), length * std::sin(turn), v, 4000, 17);
        CAPTURE(v(1, 1), length, turn, c.both, c.upper);
        CHECK(c.both >= 0.93);
        if (length <= 1.0) {
          CHECK(c.upper >= 0.97);
        } else {
          // Where the vector lies across the wide axis the band is somewhat wide.
          CHECK(c.both <= (v(1, 1) == 1.0 ? 0.97 : 0.99));
        }
      }
    }
  }
}

TEST_CASE("the points have the covariance asked for", "[estimation][closed-form]") {
  const qn::Matrix3 v{{{1.0, 0.3, -0.2}, {0.3, 0.5, 0.1}, {-0.2, 0.1, 0.2}}};
  const auto points = qn::gaussian_points(v);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      double sum = 0.0;
      for (const auto& p : points) sum += p[i] * p[j] / static_cast<double>(points.size());
      CHECK(sum == Approx(v[i][j]).margin(1e-12));
    }
  }
}

TEST_CASE("the points have the tails of the normal law in every direction",
          "[estimation][closed-form]") {
  const auto points =
      qn::gaussian_points(qn::Matrix3{{{1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {0.0, 0.0, 1.0}}});
  double sum = 0.0;
  double square = 0.0;
  double worst = 0.0;
  const int n = 400;
  for (int k = 0; k < n; ++k) {
    const double z = 1.0 - 2.0 * (k + 0.5) / n;
    const double turn = 2.399963 * k;
    std::vector<double> values;
    for (const auto& p : points) {
      values.push_back(std::sqrt(1.0 - z * z) * (std::cos(turn) * p[0] + std::sin(turn) * p[1]) +
                       z * p[2]);
    }
    const double error = qn::quantile(values, 0.975) - 1.95996;
    sum += error / n;
    square += error * error / n;
    worst = std::max(worst, std::abs(error));
  }
  CAPTURE(sum, std::sqrt(square), worst);
  // 512 random draws would scatter by 0.12 (sqrt(0.975 * 0.025 / 512) / density).
  CHECK(std::abs(sum) < 0.03);
  CHECK(std::sqrt(square) < 0.06);
  CHECK(worst < 0.2);
}

TEST_CASE("a band by simulation agrees with the one by quadrature", "[estimation][closed-form]") {
  const auto errors =
      qn::gaussian_points(qn::Matrix3{{{1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {0.0, 0.0, 0.0}}});
  for (const double length : {1.0, 2.5, 4.0, 12.0}) {  // margin: 1.5 times the points' own scatter
    const auto quantile_at = [&](double x, double p) {
      std::vector<double> lengths;
      for (const auto& e : errors) lengths.push_back(std::hypot(x + e[0], e[1]));
      return qn::quantile(lengths, p);
    };
    const auto simulated = qn::length_band_95(length, 1.0, quantile_at);
    const auto exact = qn::plane_length_band_95(round_estimate(length, 1.0));
    CHECK(simulated.first == Approx(exact.first).margin(0.09));
    CHECK(simulated.second == Approx(exact.second).margin(0.09));
  }
}
