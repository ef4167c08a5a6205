// SPDX-License-Identifier: Apache-2.0
// The filter against the textbook: every covariance written out, everything solved at once.
#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstddef>
#include <vector>

#include "estimation/drift_filter.h"
#include "estimation/joint_effects.h"

using namespace qn;

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr DriftNoise kNoise{0.04, 0.002, 1e-5, 0.03, 1.7};

BlockTimes uneven_times(std::size_t count) {
  BlockTimes out;
  double t = 0.3;
  for (std::size_t b = 0; b < count; ++b) {
    out.time_s.push_back(t);
    t += 0.5 + 0.3 * std::sin(1.3 * static_cast<double>(b));
    out.weight.push_back(b % 7 == 3 ? 0.4 : 1.0);
    out.extra.push_back(b % 11 == 5 ? 0.2 : 0.0);
    out.use.push_back(b % 9 == 4 ? 0 : 1);
  }
  return out;
}

/// Covariance of level (and slow noise, and white) at the blocks; first level and slope are free,
/// which two polynomial columns stand for.
MatrixXd dense_covariance(const BlockTimes& times) {
  const auto n = static_cast<Eigen::Index>(times.time_s.size());
  MatrixXd V = MatrixXd::Zero(n, n);
  const double t0 = times.time_s.front();
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto bi = static_cast<std::size_t>(i);
    for (Eigen::Index j = 0; j < n; ++j) {
      const double s = std::min(times.time_s[bi], times.time_s[static_cast<std::size_t>(j)]) - t0;
      const double l = std::max(times.time_s[bi], times.time_s[static_cast<std::size_t>(j)]) - t0;
      V(i, j) += kNoise.level_rate * s;
      V(i, j) += kNoise.slope_rate * (s * s * l / 2.0 - s * s * s / 6.0);
      V(i, j) += kNoise.slow_variance * std::exp(-(l - s) / kNoise.slow_time_s);
    }
    V(i, i) += kNoise.white_variance / times.weight[bi] + times.extra[bi];
  }
  return V;
}

std::vector<std::size_t> used(const BlockTimes& times) {
  std::vector<std::size_t> out;
  for (std::size_t b = 0; b < times.use.size(); ++b) {
    if (times.use[b]) out.push_back(b);
  }
  return out;
}

MatrixXd rows_of(const MatrixXd& all, const std::vector<std::size_t>& rows) {
  MatrixXd out(static_cast<Eigen::Index>(rows.size()), all.cols());
  for (std::size_t r = 0; r < rows.size(); ++r) {
    out.row(static_cast<Eigen::Index>(r)) = all.row(static_cast<Eigen::Index>(rows[r]));
  }
  return out;
}

struct Dense {
  VectorXd size;
  MatrixXd covariance;
};

/// Columns of interest first, then what the start leaves free.
Dense dense_gls(const BlockTimes& times, const MatrixXd& columns, const VectorXd& y) {
  const auto rows = used(times);
  const MatrixXd V = rows_of(rows_of(dense_covariance(times), rows).transpose(), rows);
  const MatrixXd X = rows_of(columns, rows);
  const MatrixXd ViX = V.llt().solve(X);
  Dense out;
  out.covariance = (X.transpose() * ViX).inverse();
  out.size = out.covariance * ViX.transpose() * rows_of(y, rows);
  return out;
}

VectorXd readings(std::size_t count) {
  VectorXd y(static_cast<Eigen::Index>(count));
  for (Eigen::Index b = 0; b < y.size(); ++b) {
    const double x = static_cast<double>(b);
    y[b] = 3.0 + 0.02 * x + 0.3 * std::sin(0.9 * x) + 0.2 * std::cos(2.3 * x * x);
  }
  return y;
}

}  // namespace

TEST_CASE("sizes of effects are those of dense least squares", "[estimation][closed-form]") {
  constexpr std::size_t kBlocks = 90;
  const BlockTimes times = uneven_times(kBlocks);
  const std::vector<BlockColumn> effects{{12, std::vector<double>(15, 1.0)},
                                         {40, {0.3, 1, 1, 1, 1, 1, 1, 0.6}},
                                         {60, std::vector<double>(12, 1.0)}};
  VectorXd y = readings(kBlocks);
  MatrixXd columns = MatrixXd::Zero(kBlocks, 5);
  for (std::size_t c = 0; c < 3; ++c) {
    for (std::size_t k = 0; k < effects[c].values.size(); ++k) {
      columns(static_cast<Eigen::Index>(effects[c].begin + k), static_cast<Eigen::Index>(c)) =
          effects[c].values[k];
    }
  }
  y += columns.leftCols(3) * Eigen::Vector3d{1.0, -2.0, 0.5};
  for (Eigen::Index b = 0; b < static_cast<Eigen::Index>(kBlocks); ++b) {
    columns(b, 3) = 1.0;
    columns(b, 4) = times.time_s[static_cast<std::size_t>(b)];
  }
  const Dense dense = dense_gls(times, columns, y);

  const DriftFilter filter{kNoise, times};
  const EffectEquations equations{filter, effects, {y.data(), y.data() + y.size()}};
  const JointEffects solved = equations.solve({0, 1, 2}, 3, 1e4);
  for (std::size_t c = 0; c < 3; ++c) {
    const auto i = static_cast<Eigen::Index>(c);
    CHECK(solved.size[c] == Approx(dense.size[i]).epsilon(1e-3));
    CHECK(std::sqrt(solved.covariance(c, c)) ==
          Approx(std::sqrt(dense.covariance(i, i))).epsilon(1e-3));
    CHECK(solved.covariance(c, (c + 1) % 3) ==
          Approx(dense.covariance(i, static_cast<Eigen::Index>((c + 1) % 3)))
              .margin(1e-3 * dense.covariance(i, i)));
  }
}

TEST_CASE("repeats of one effect share one size", "[estimation][closed-form]") {
  constexpr std::size_t kBlocks = 90;
  const BlockTimes times = uneven_times(kBlocks);
  const std::vector<BlockColumn> effects{{12, std::vector<double>(15, 1.0)},
                                         {60, std::vector<double>(12, 1.0)}};
  const VectorXd y = readings(kBlocks);
  MatrixXd columns = MatrixXd::Zero(kBlocks, 3);
  columns.block(12, 0, 15, 1).setOnes();
  columns.block(60, 0, 12, 1).setOnes();
  columns.col(1).setOnes();
  for (Eigen::Index b = 0; b < static_cast<Eigen::Index>(kBlocks); ++b) {
    columns(b, 2) = times.time_s[static_cast<std::size_t>(b)];
  }
  const Dense dense = dense_gls(times, columns, y);
  const DriftFilter filter{kNoise, times};
  const EffectEquations equations{filter, effects, {y.data(), y.data() + y.size()}};
  const JointEffects solved = equations.solve({0, 0}, 1, 1e4);
  CHECK(solved.size[0] == Approx(dense.size[0]).epsilon(1e-3));
  CHECK(solved.covariance(0, 0) == Approx(dense.covariance(0, 0)).epsilon(2e-3));
}

TEST_CASE("the smoothed level is the conditional mean of the level", "[estimation][closed-form]") {
  constexpr std::size_t kBlocks = 70;
  const BlockTimes times = uneven_times(kBlocks);
  const VectorXd y = readings(kBlocks);
  const auto rows = used(times);
  const MatrixXd V = rows_of(rows_of(dense_covariance(times), rows).transpose(), rows);
  // Level and slow noise apart: cross-covariance of the level alone with what was read.
  MatrixXd level = MatrixXd::Zero(kBlocks, kBlocks);
  MatrixXd free(kBlocks, 2);
  for (Eigen::Index i = 0; i < static_cast<Eigen::Index>(kBlocks); ++i) {
    const double ti = times.time_s[static_cast<std::size_t>(i)] - times.time_s[0];
    free(i, 0) = 1.0;
    free(i, 1) = ti;
    for (Eigen::Index j = 0; j < static_cast<Eigen::Index>(kBlocks); ++j) {
      const double tj = times.time_s[static_cast<std::size_t>(j)] - times.time_s[0];
      const double s = std::min(ti, tj);
      const double l = std::max(ti, tj);
      level(i, j) = kNoise.level_rate * s + kNoise.slope_rate * (s * s * l / 2.0 - s * s * s / 6.0);
    }
  }
  const MatrixXd X = rows_of(free, rows);
  const VectorXd seen = rows_of(y, rows);
  const MatrixXd ViX = V.llt().solve(X);
  const VectorXd beta = (X.transpose() * ViX).ldlt().solve(ViX.transpose() * seen);
  const VectorXd expected =
      free * beta + rows_of(level, rows).transpose() * V.llt().solve(seen - X * beta);
  const auto smoothed = DriftFilter{kNoise, times}.smoothed_level({y.data(), y.data() + y.size()});
  for (Eigen::Index b = 0; b < static_cast<Eigen::Index>(kBlocks); ++b) {
    CHECK(smoothed[static_cast<std::size_t>(b)] == Approx(expected[b]).margin(2e-3));
  }
}

TEST_CASE("readings weighted by the inverse covariance are those of dense algebra",
          "[estimation][closed-form]") {
  constexpr std::size_t kBlocks = 60;
  const BlockTimes times = uneven_times(kBlocks);
  const VectorXd y = readings(kBlocks);
  // With level and slope free at the start: C^-1 (y - X a), a by least squares.
  MatrixXd X = MatrixXd::Ones(kBlocks, 2);
  for (Eigen::Index b = 0; b < static_cast<Eigen::Index>(kBlocks); ++b) {
    X(b, 1) = times.time_s[static_cast<std::size_t>(b)];
  }
  const auto rows = used(times);
  const MatrixXd V = rows_of(rows_of(dense_covariance(times), rows).transpose(), rows);
  const VectorXd left = rows_of(y, rows) - rows_of(X, rows) * dense_gls(times, X, y).size;
  const VectorXd expected = V.llt().solve(left);

  const std::vector<double> weighted =
      DriftFilter{kNoise, times}.weighted({y.data(), y.data() + y.size()});
  for (std::size_t r = 0; r < rows.size(); ++r) {
    // A free level is one of large variance: 1e-3 of the largest weight.
    CHECK(weighted[rows[r]] == Approx(expected[static_cast<Eigen::Index>(r)])
                                   .margin(1e-3 * expected.cwiseAbs().maxCoeff()));
  }
  for (std::size_t b = 0; b < kBlocks; ++b) {
    if (!times.use[b]) CHECK(weighted[b] == 0.0);
  }
}

TEST_CASE("columns whitened together are those whitened one by one", "[estimation][closed-form]") {
  constexpr std::size_t kBlocks = 90;
  const DriftFilter filter{kNoise, uneven_times(kBlocks)};
  const std::vector<BlockColumn> columns{{60, std::vector<double>(12, 1.0)},
                                         {12, std::vector<double>(15, 1.0)},
                                         {40, {0.3, 1, 1, 1, 1, 1, 1, 0.6}},
                                         {0, std::vector<double>(kBlocks, -2.0)},
                                         {13, {1.0}}};
  const std::vector<BlockColumn> together = filter.whiten(columns);
  REQUIRE(together.size() == columns.size());
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const BlockColumn alone = filter.whiten(columns[c]);
    REQUIRE(together[c].begin == alone.begin);
    REQUIRE(together[c].values.size() >= alone.values.size());
    for (std::size_t k = 0; k < alone.values.size(); ++k) {
      CHECK(together[c].values[k] == Approx(alone.values[k]).margin(1e-12));
    }
  }
}

TEST_CASE("columns solved singly are the joint solution", "[estimation][closed-form]") {
  constexpr std::size_t kBlocks = 90;
  const DriftFilter filter{kNoise, uneven_times(kBlocks)};
  const std::vector<BlockColumn> columns{{60, std::vector<double>(12, 1.0)},
                                         {12, std::vector<double>(15, 1.0)},
                                         {22, {0.3, 1, 1, 1, 1, 1, 1, 0.6}}};
  const VectorXd y = readings(kBlocks);
  const EffectEquations equations{filter, columns, {y.data(), y.data() + y.size()}};
  const JointEffects joint = equations.solve({0, 1, 2}, 3, 1e4);
  const SingleEffects single = equations.solve_single(1e4);
  for (std::size_t c = 0; c < 3; ++c) {
    CHECK(single.size[c] == Approx(joint.size[c]).epsilon(1e-9));
    CHECK(single.sigma[c] == Approx(std::sqrt(joint.covariance(c, c))).epsilon(1e-9));
  }
  double taken = 0.0;
  const std::vector<std::pair<std::size_t, double>> shared{{0, 0.7}, {2, -1.2}};
  for (const auto& [i, a] : shared) {
    for (const auto& [j, b] : shared) taken += a * joint.covariance(i, j) * b;
  }
  CHECK(single.taken(shared) == Approx(taken).epsilon(1e-9));
}
