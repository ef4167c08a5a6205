// SPDX-License-Identifier: Apache-2.0
#include "estimation/noise_model.h"

#include <catch2/catch.hpp>
#include <cmath>

namespace {

qn::RowBlock column_of(const std::vector<double>& values, double interval_s) {
  qn::RowBlock block;
  block.resize(values.size(), 0);
  for (std::size_t k = 0; k < values.size(); ++k) {
    block.residual()[k] = values[k];
    block.time_s[k] = interval_s * static_cast<double>(k);
  }
  return block;
}

}  // namespace

TEST_CASE("white noise is divided by its sigma", "[estimation][closed-form]") {
  auto block = column_of({2.0, -4.0, 6.0}, 0.1);
  qn::WhitenerState state;
  qn::whiten(block, {4.0, 0.0, 0.0}, state);
  CHECK(block.residual()[0] == Approx(1.0));
  CHECK(block.residual()[1] == Approx(-2.0));
  CHECK(block.residual()[2] == Approx(3.0));
}

TEST_CASE("noise that only fades is whitened to its innovations", "[estimation][closed-form]") {
  // Pure AR(1), variance 1, phi = exp(-0.1 / 0.2): e_k = (r_k - phi r_{k-1}) / sqrt(1 - phi^2).
  const double phi = std::exp(-0.5);
  auto block = column_of({1.0, 0.5, -0.25}, 0.1);
  qn::WhitenerState state;
  qn::whiten(block, {1e-12, 1.0, 0.2}, state);
  const double unit = std::sqrt(1.0 - phi * phi);
  CHECK(block.residual()[0] == Approx(1.0));
  CHECK(block.residual()[1] == Approx((0.5 - phi) / unit).epsilon(1e-6));
  CHECK(block.residual()[2] == Approx((-0.25 - 0.5 * phi) / unit).epsilon(1e-6));
}

TEST_CASE("cutting a series into blocks changes nothing", "[estimation][closed-form]") {
  const std::vector<double> all{0.3, -1.0, 2.0, 0.7, -0.2, 1.1};
  const qn::NoiseModel noise{0.5, 0.8, 0.3};
  auto whole = column_of(all, 0.1);
  qn::WhitenerState state;
  qn::whiten(whole, noise, state);
  auto first = column_of({all.begin(), all.begin() + 3}, 0.1);
  auto second = column_of({all.begin() + 3, all.end()}, 0.1);
  for (double& t : second.time_s) t += 0.3;
  qn::WhitenerState carried;
  qn::whiten(first, noise, carried);
  qn::whiten(second, noise, carried);
  CHECK(first.residual()[2] == Approx(whole.residual()[2]));
  CHECK(second.residual()[0] == Approx(whole.residual()[3]));
  CHECK(second.residual()[2] == Approx(whole.residual()[5]));
}

TEST_CASE("the mean of correlated samples varies more", "[estimation][closed-form]") {
  // Two samples, correlation phi: variance of the mean is (1 + phi) / 2.
  const qn::NoiseModel noise{0.0, 1.0, 1.0};
  CHECK(noise.variance_of_mean(2, 0.5) == Approx(0.5 * (1.0 + std::exp(-0.5))));
  CHECK(qn::NoiseModel{1.0, 0.0, 0.0}.variance_of_mean(25, 0.1) == Approx(0.04));
}
