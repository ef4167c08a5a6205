// SPDX-License-Identifier: Apache-2.0
#include "estimation/periodogram.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <numbers>

using namespace qn;

namespace {

double power_at(const std::vector<double>& values, std::size_t j, std::size_t padded) {
  std::complex<double> sum = 0.0;
  for (std::size_t k = 0; k < values.size(); ++k) {
    const auto turns = static_cast<double>(j * k % padded) / static_cast<double>(padded);
    sum += values[k] * std::polar(1.0, -2.0 * std::numbers::pi * turns);
  }
  return std::norm(sum);
}

}  // namespace

TEST_CASE("the power of two series is that of the sum itself", "[estimation][closed-form]") {
  for (const std::size_t padded : {2U, 4U, 8U, 32U, 256U, 512U}) {
    std::vector<double> a(padded), b(padded / 2 + 1);
    for (std::size_t k = 0; k < a.size(); ++k) a[k] = std::sin(13.7 * static_cast<double>(k * k));
    for (std::size_t k = 0; k < b.size(); ++k) {
      b[k] = 30.0 * std::cos(5.3 * static_cast<double>(k * k + 1));
    }
    const PowerSpectrum transform{padded};
    const auto power = transform.of_two(a, b);
    const auto alone = transform.of(a);
    REQUIRE(power[0].size() == padded / 2 + 1);
    for (std::size_t j = 0; j <= padded / 2; ++j) {
      // Single precision of the larger of the two: 900 times the power of the smaller.
      const double scale = static_cast<double>(padded);
      CHECK(alone[j] == Approx(power_at(a, j, padded)).margin(1e-5 * scale));
      CHECK(power[0][j] == Approx(power_at(a, j, padded)).margin(1e-3 * scale));
      CHECK(power[1][j] == Approx(power_at(b, j, padded)).margin(1e-2 * scale));
    }
  }
}

TEST_CASE("how unlikely a sum is, there and back", "[estimation][closed-form]") {
  for (const double k : {3.0, 9.0, 36.0}) {
    for (const double deviate : {0.0, 2.5, 6.5, 12.0}) {
      const double sum = exponential_sum_at(deviate, k);
      CHECK(exponential_sum_deviate(sum, k) == Approx(deviate).margin(1e-9));
    }
  }
  // Three unit exponentials exceed x with probability exp(-x) (1 + x + x^2 / 2): 16.03 with
  // 1.589e-5, which is 4.160 standard deviations. The cube root is good to a tenth.
  CHECK(exponential_sum_deviate(16.03, 3.0) == Approx(4.160).margin(0.1));
}
