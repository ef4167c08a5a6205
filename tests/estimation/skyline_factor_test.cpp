// SPDX-License-Identifier: Apache-2.0
#include "estimation/skyline_factor.h"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>

using namespace qn;

namespace {

// J'J of rows that each touch a few neighbours, and a little on the diagonal.
Eigen::MatrixXd banded(Eigen::Index n, Eigen::Index reach) {
  Eigen::MatrixXd a = Eigen::MatrixXd::Identity(n, n) * 0.1;
  for (Eigen::Index k = 0; k + 1 < n; ++k) {
    const Eigen::Index width = 1 + (k * 7) % reach;
    Eigen::VectorXd row = Eigen::VectorXd::Zero(n);
    for (Eigen::Index i = k; i < std::min(n, k + width); ++i)
      row[i] = std::sin(13.7 * static_cast<double>(k * k + 3 * i));
    a += row * row.transpose();
  }
  return a;
}

SkylineFactor factor_of(const Eigen::MatrixXd& a) {
  std::vector<std::vector<double>> rows;
  for (Eigen::Index i = 0; i < a.rows(); ++i) {
    Eigen::Index first = 0;
    while (first < i && a(i, first) == 0.0) ++first;
    rows.emplace_back();
    for (Eigen::Index j = first; j <= i; ++j) rows.back().push_back(a(i, j));
  }
  return SkylineFactor{std::move(rows)};
}

}  // namespace

TEST_CASE("a skyline solves as the dense matrix does", "[estimation][closed-form]") {
  const Eigen::MatrixXd a = banded(23, 5);
  const Eigen::MatrixXd inverse = a.inverse();
  const SkylineFactor factor = factor_of(a);
  REQUIRE(factor.sound());
  std::vector<double> b(23);
  for (std::size_t i = 0; i < b.size(); ++i) b[i] = static_cast<double>(i % 4) - 1.3;
  const Eigen::VectorXd expected = inverse * Eigen::Map<const Eigen::VectorXd>(b.data(), 23);
  const std::vector<double> solved = factor.solve(b);
  const std::vector<double> diagonal = factor.inverse_diagonal();
  for (Eigen::Index i = 0; i < 23; ++i) {
    const auto k = static_cast<std::size_t>(i);
    // Condition near 1e3: twelve digits are left.
    CHECK(solved[k] == Approx(expected[i]).margin(1e-11));
    CHECK(diagonal[k] == Approx(inverse(i, i)).epsilon(1e-11));
  }
  const std::vector<std::pair<std::size_t, double>> few{{4, 1.5}, {5, -0.5}, {11, 2.0}};
  double square = 0.0;
  for (const auto& [i, x] : few) {
    for (const auto& [j, y] : few) {
      square += x * inverse(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) * y;
    }
  }
  CHECK(factor.square(few) == Approx(square).epsilon(1e-11));
}

TEST_CASE("a matrix that is not positive definite is not sound", "[estimation][closed-form]") {
  CHECK_FALSE(SkylineFactor{{{1.0}, {2.0, 1.0}}}.sound());
  CHECK(SkylineFactor{{{1.0}, {0.5, 1.0}}}.sound());
}
