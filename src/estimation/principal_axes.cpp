// SPDX-License-Identifier: Apache-2.0
#include "estimation/principal_axes.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "vocab/expects.h"

namespace qn {
namespace {

Eigen::Vector3d to_eigen(const std::array<double, 3>& p) { return {p[0], p[1], p[2]}; }

}  // namespace

PrincipalAxes principal_axes(const std::vector<std::array<double, 3>>& points,
                             const std::vector<unsigned char>& keep) {
  QN_EXPECTS(!points.empty());
  const auto kept = [&](std::size_t i) { return keep.empty() || keep[i] != 0; };
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  double count = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!kept(i)) continue;
    mean += to_eigen(points[i]);
    count += 1.0;
  }
  count = std::max(count, 1.0);
  mean /= count;
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!kept(i)) continue;
    const Eigen::Vector3d d = to_eigen(points[i]) - mean;
    covariance += d * d.transpose();
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> eigen(covariance / count);
  PrincipalAxes out;
  for (int i = 0; i < 3; ++i) {
    const auto at = static_cast<std::size_t>(i);
    out.centre[at] = mean[i];
    out.spread[at] = std::sqrt(std::max(eigen.eigenvalues()[2 - i], 0.0));
    for (int j = 0; j < 3; ++j) {
      out.axes[at][static_cast<std::size_t>(j)] = eigen.eigenvectors()(j, 2 - i);
    }
  }
  return out;
}

// |p|^2 = 2 c.p + (r^2 - |c|^2) is linear in c and the constant.
RoundFit fit_round(const std::vector<std::array<double, 3>>& points, int dimensions) {
  QN_EXPECTS(!points.empty() && (dimensions == 2 || dimensions == 3));
  const PrincipalAxes cloud = principal_axes(points);
  const double unit = std::max(cloud.spread[0], 1e-12);  // keeps the sums near 1
  std::vector<double> distance(points.size(), 0.0);
  double cut = 1.0;
  RoundFit out;
  for (int round = 0; round < 10; ++round) {
    Eigen::MatrixXd A = Eigen::MatrixXd::Zero(dimensions + 1, dimensions + 1);
    Eigen::VectorXd y = Eigen::VectorXd::Zero(dimensions + 1);
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (distance[i] > cut) continue;
      const Eigen::Vector3d p = (to_eigen(points[i]) - to_eigen(cloud.centre)) / unit;
      Eigen::VectorXd row(dimensions + 1);
      row << 2.0 * p.head(dimensions), 1.0;
      A += row * row.transpose();
      y += row * p.head(dimensions).squaredNorm();
    }
    const Eigen::VectorXd a = A.ldlt().solve(y);
    const double radius_squared = a[dimensions] + a.head(dimensions).squaredNorm();
    if (!(radius_squared > 0.0) || !a.allFinite()) return RoundFit{cloud.centre, 0.0};
    out.radius = std::sqrt(radius_squared) * unit;
    out.centre = cloud.centre;
    for (int i = 0; i < dimensions; ++i) out.centre[static_cast<std::size_t>(i)] += a[i] * unit;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Eigen::Vector3d d = to_eigen(points[i]) - to_eigen(out.centre);
      distance[i] = std::abs(d.head(dimensions).norm() - out.radius);
    }
    std::vector<double> sorted = distance;
    cut = quantile(sorted, 0.75);
  }
  return out;
}

}  // namespace qn
