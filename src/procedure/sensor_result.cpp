// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "procedure/sensor_result_internal.h"

namespace qn::sensor_model {
namespace {

Vector3 solve3(const Matrix3& a, const Vector3& y) {
  const auto det = [](const Vector3& p, const Vector3& q, const Vector3& r) {
    return p[0] * (q[1] * r[2] - q[2] * r[1]) - p[1] * (q[0] * r[2] - q[2] * r[0]) +
           p[2] * (q[0] * r[1] - q[1] * r[0]);
  };
  const auto column = [&a](std::size_t j) { return Vector3{a[0][j], a[1][j], a[2][j]}; };
  const double whole = det(column(0), column(1), column(2));
  return {det(y, column(1), column(2)) / whole, det(column(0), y, column(2)) / whole,
          det(column(0), column(1), y) / whole};
}

// matrix (9, row by row) and offset_raw (3) of the user's correction, from the parameters.
std::vector<double> user_numbers(const Prepared& prepared, const Layout& layout,
                                 const Parameters& theta) {
  const Matrix3 M = matrix_of(layout, theta);
  const Vector3 b = offset_of(layout, theta);
  Matrix3 total{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      for (std::size_t k = 0; k < 3; ++k) {
        total[i][j] += prepared.scale * M[i][k] * prepared.axes[k][j];
      }
    }
  }
  const Vector3 offset = solve3(total, b);
  std::vector<double> out;
  for (const Vector3& row : total) out.insert(out.end(), row.begin(), row.end());
  out.insert(out.end(), offset.begin(), offset.end());
  return out;
}

// Central differences; steps small against what the numbers can be.
std::vector<double> jacobian_of(
    const std::function<std::vector<double>(const Parameters&)>& function, const Parameters& theta,
    std::size_t rows) {
  std::vector<double> jacobian(rows * theta.size());
  for (std::size_t p = 0; p < theta.size(); ++p) {
    const double step = 1e-5 * std::max(1.0, std::abs(theta[p]));
    Parameters moved = theta;
    moved[p] = theta[p] + step;
    const std::vector<double> up = function(moved);
    moved[p] = theta[p] - step;
    const std::vector<double> down = function(moved);
    for (std::size_t r = 0; r < rows; ++r) {
      jacobian[r * theta.size() + p] = (up[r] - down[r]) / (2.0 * step);
    }
  }
  return jacobian;
}

Vector3 corrected(const Log& log, const Matrix3& M, const Vector3& b, std::size_t k) {
  Vector3 x{};
  for (std::size_t i = 0; i < 3; ++i) {
    x[i] = M[i][0] * log.m[0][k] + M[i][1] * log.m[1][k] + M[i][2] * log.m[2][k] - b[i];
  }
  return x;
}

double variance_of(const SquareMatrix& V, const std::vector<double>& c) {
  double sum = 0.0;
  for (std::size_t i = 0; i < c.size(); ++i) {
    for (std::size_t j = 0; j < c.size(); ++j) sum += c[i] * V(i, j) * c[j];
  }
  return sum;
}

}  // namespace

SensorCorrection to_correction(const Prepared& prepared, const Layout& layout,
                               const Solution& solution, FieldUnit unit) {
  const auto numbers = [&](const Parameters& theta) {
    return user_numbers(prepared, layout, theta);
  };
  const std::vector<double> values = numbers(solution.theta);
  SensorCorrection out;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out.matrix[i][j] = values[3 * i + j];
    out.offset_raw[i] = values[9 + i];
  }
  const SquareMatrix covariance =
      propagate(jacobian_of(numbers, solution.theta, 12), 12, solution.covariance);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      out.covariance.order.push_back("matrix_" + std::to_string(i + 1) + std::to_string(j + 1));
    }
  }
  for (const char* name : {"offset_x_raw", "offset_y_raw", "offset_z_raw"}) {
    out.covariance.order.emplace_back(name);
  }
  for (std::size_t i = 0; i < 12; ++i) {
    const auto row = covariance.values.begin() + static_cast<std::ptrdiff_t>(12 * i);
    out.covariance.values.emplace_back(row, row + 12);
  }
  const auto offset = static_cast<std::size_t>(layout.offset);
  for (std::size_t i = 0; i < 3; ++i) {
    if (unit == FieldUnit::counts) {
      out.offset_uT[i] = solution.theta[offset + i];
      out.offset_sigma_uT[i] = std::sqrt(solution.covariance(offset + i, offset + i));
    } else {
      out.offset_uT[i] = out.offset_raw[i];
      out.offset_sigma_uT[i] = std::sqrt(covariance(9 + i, 9 + i));
    }
  }
  return out;
}

DirectionCoverage count_directions(const Prepared& prepared, const Layout& layout,
                                   const Solution& solution) {
  constexpr std::size_t kArcCells = 72;
  const Matrix3 M = matrix_of(layout, solution.theta);
  const Vector3 b = offset_of(layout, solution.theta);
  DirectionCoverage out;
  std::vector<unsigned char> arc(kArcCells, 0);
  for (std::size_t k = 0; k < prepared.log.size(); ++k) {
    if (!prepared.log.use[k]) continue;
    const Vector3 x = corrected(prepared.log, M, b, k);
    const double size = std::max(std::hypot(x[0], x[1], x[2]), 1e-12);
    const double turn = std::atan2(x[1], x[0]) / (2.0 * std::numbers::pi);
    const double share = turn < 0.0 ? turn + 1.0 : turn;
    const auto cell = [](double fraction, std::size_t count) {
      return std::min(static_cast<std::size_t>(fraction * static_cast<double>(count)), count - 1);
    };
    const std::size_t column = cell(share, DirectionCoverage::kColumns);
    const std::size_t row = cell(0.5 * (x[2] / size + 1.0), DirectionCoverage::kRows);
    ++out.counts[row * DirectionCoverage::kColumns + column];
    arc[cell(share, kArcCells)] = 1;
  }
  std::size_t filled = 0;
  for (const std::size_t count : out.counts) filled += count > 0;
  out.filled_fraction = static_cast<double>(filled) / static_cast<double>(out.counts.size());
  std::size_t widest = 0;
  std::size_t run = 0;
  for (std::size_t i = 0; i < 2 * kArcCells; ++i) {
    run = arc[i % kArcCells] ? 0 : run + 1;
    widest = std::max(widest, std::min(run, kArcCells));
  }
  out.heading_arc_deg = 360.0 - 5.0 * static_cast<double>(widest);
  return out;
}

std::vector<ResidualPoint> thin_residuals(const Log& log, const std::vector<double>& residual,
                                          std::size_t points) {
  std::vector<ResidualPoint> out;
  const std::size_t stride = std::max<std::size_t>(1, (log.size() + points - 1) / points);
  for (std::size_t begin = 0; begin < log.size(); begin += stride) {
    std::size_t pick = begin;
    for (std::size_t k = begin; k < std::min(begin + stride, log.size()); ++k) {
      if (std::abs(residual[k]) > std::abs(residual[pick])) pick = k;
    }
    out.push_back({log.time_s[pick], residual[pick], log.use[pick] != 0});
  }
  return out;
}

double learnt_share(const Problem& problem, const Solution& solution,
                    const std::vector<double>& combination) {
  const double before = variance_of(inverse(problem.prior.precision), combination);
  const double now = variance_of(solution.covariance, combination);
  return before > 0.0 ? std::sqrt(now / before) : 0.0;
}

ErrorShares error_shares(const Problem& problem, const Solution& solution) {
  constexpr std::size_t kHeadings = 24;
  const Layout& layout = problem.layout;
  const SquareMatrix& V = solution.covariance;
  const Matrix3 M = matrix_of(layout, solution.theta);
  const Vector3 b = offset_of(layout, solution.theta);
  const double H = solution.theta[static_cast<std::size_t>(layout.horizontal)];
  const double Z = solution.theta[static_cast<std::size_t>(layout.down)];
  const double to_deg = 180.0 / std::numbers::pi;

  std::vector<std::vector<double>> rows;
  for (std::size_t i = 0; i < kHeadings; ++i) {
    const double heading = 2.0 * std::numbers::pi * static_cast<double>(i) / kHeadings;
    const Vector3 x = earth_in_body(H, Z, heading, 0.0, 0.0);
    const Vector3 m = solve3(M, {x[0] + b[0], x[1] + b[1], x[2] + b[2]});
    const double by_x = x[1] / (H * H) * to_deg;
    const double by_y = -x[0] / (H * H) * to_deg;
    std::vector<double> row(layout.size, 0.0);
    for (std::size_t j = 0; j < 3; ++j) {
      row[static_cast<std::size_t>(layout.matrix[0][j])] += by_x * m[j];
      row[static_cast<std::size_t>(layout.matrix[1][j])] += by_y * m[j];
    }
    row[static_cast<std::size_t>(layout.offset)] -= by_x;
    row[static_cast<std::size_t>(layout.offset) + 1] -= by_y;
    rows.push_back(std::move(row));
  }
  ErrorShares shares;
  for (const auto& row : rows) shares.total += variance_of(V, row) / kHeadings;
  // One scalar parameter known exactly would lower the variance of c by cov(c, p)^2 / var p.
  const auto taken_by = [&](int index) {
    double sum = 0.0;
    const auto p = static_cast<std::size_t>(index);
    for (const auto& row : rows) {
      double shared = 0.0;
      for (std::size_t i = 0; i < row.size(); ++i) shared += row[i] * V(i, p);
      sum += shared * shared / V(p, p) / kHeadings;
    }
    return sum;
  };
  if (layout.slope >= 0) shares.slope = taken_by(layout.slope) + taken_by(layout.slope + 1);
  if (layout.deck >= 0) shares.deck = taken_by(layout.deck) + taken_by(layout.deck + 1);
  if (layout.north >= 0) shares.north = taken_by(layout.north);
  shares.vertical = taken_by(layout.matrix[0][2]) + taken_by(layout.matrix[1][2]);
  return shares;
}

}  // namespace qn::sensor_model
