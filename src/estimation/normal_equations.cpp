// SPDX-License-Identifier: Apache-2.0
#include "estimation/normal_equations.h"

#include <Eigen/Dense>
#include <cmath>
#include <limits>

namespace qn {
namespace {

using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

Eigen::Map<const RowMajor> view(const SquareMatrix& a) {
  const auto n = static_cast<Eigen::Index>(a.size);
  return {a.values.data(), n, n};
}

SquareMatrix from_eigen(const Eigen::MatrixXd& a) {
  SquareMatrix out{static_cast<std::size_t>(a.rows())};
  const auto n = a.rows();
  Eigen::Map<RowMajor>(out.values.data(), n, n) = a;
  return out;
}

// 1/sqrt(diagonal); a parameter nothing speaks about keeps scale 1.
Eigen::VectorXd scales(const Eigen::MatrixXd& a) {
  Eigen::VectorXd s = a.diagonal();
  for (Eigen::Index i = 0; i < s.size(); ++i) s[i] = s[i] > 0.0 ? 1.0 / std::sqrt(s[i]) : 1.0;
  return s;
}

}  // namespace

void NormalEquations::add(const RowBlock& whitened) {
  const auto n = static_cast<Eigen::Index>(whitened.rows);
  const auto p = static_cast<Eigen::Index>(parameters());
  const Eigen::Map<const Eigen::MatrixXd> rows_and_residual{whitened.columns.data(), n, p + 1};
  Eigen::MatrixXd sums = Eigen::MatrixXd::Zero(p + 1, p + 1);
  sums.selfadjointView<Eigen::Lower>().rankUpdate(rows_and_residual.transpose());
  for (Eigen::Index i = 0; i < p; ++i) {
    for (Eigen::Index j = 0; j <= i; ++j) {
      const auto a = static_cast<std::size_t>(i);
      const auto b = static_cast<std::size_t>(j);
      information(a, b) += sums(i, j);
      if (a != b) information(b, a) = information(a, b);
    }
    gradient[static_cast<std::size_t>(i)] += sums(p, i);
  }
  cost += sums(p, p);
  for (const unsigned char used : whitened.use) rows += used;
}

void NormalEquations::add(const NormalEquations& other) {
  for (std::size_t i = 0; i < information.values.size(); ++i) {
    information.values[i] += other.information.values[i];
  }
  for (std::size_t i = 0; i < gradient.size(); ++i) gradient[i] += other.gradient[i];
  cost += other.cost;
  rows += other.rows;
}

void NormalEquations::add_row(const std::vector<double>& derivatives, double residual,
                              double sigma) {
  const double weight = 1.0 / (sigma * sigma);
  for (std::size_t i = 0; i < parameters(); ++i) {
    for (std::size_t j = 0; j < parameters(); ++j) {
      information(i, j) += weight * derivatives[i] * derivatives[j];
    }
    gradient[i] += weight * derivatives[i] * residual;
  }
  cost += weight * residual * residual;
  rows += 1;
}

void NormalEquations::add_prior(const SquareMatrix& precision, const std::vector<double>& offset) {
  for (std::size_t i = 0; i < parameters(); ++i) {
    double pull = 0.0;
    for (std::size_t j = 0; j < parameters(); ++j) {
      information(i, j) += precision(i, j);
      pull += precision(i, j) * offset[j];
    }
    gradient[i] += pull;
    cost += pull * offset[i];
  }
}

std::vector<double> solve_step(const NormalEquations& equations, double damping) {
  const Eigen::MatrixXd a = view(equations.information);
  const Eigen::VectorXd s = scales(a);
  Eigen::MatrixXd scaled = s.asDiagonal() * a * s.asDiagonal();
  scaled.diagonal().array() += damping;
  const Eigen::Map<const Eigen::VectorXd> g{equations.gradient.data(), a.rows()};
  const Eigen::VectorXd scaled_step = scaled.ldlt().solve(-(s.asDiagonal() * g));
  const Eigen::VectorXd step = s.asDiagonal() * scaled_step;
  return {step.data(), step.data() + step.size()};
}

SquareMatrix inverse(const SquareMatrix& matrix) {
  const Eigen::MatrixXd a = view(matrix);
  const Eigen::VectorXd s = scales(a);
  const Eigen::LLT<Eigen::MatrixXd> llt(s.asDiagonal() * a * s.asDiagonal());
  if (llt.info() != Eigen::Success) return SquareMatrix{};
  const Eigen::MatrixXd scaled = llt.solve(Eigen::MatrixXd::Identity(a.rows(), a.cols()));
  return from_eigen(s.asDiagonal() * scaled * s.asDiagonal());
}

double log_determinant(const SquareMatrix& matrix) {
  const Eigen::LLT<Eigen::MatrixXd> llt{Eigen::MatrixXd{view(matrix)}};
  if (llt.info() != Eigen::Success) return -std::numeric_limits<double>::infinity();
  return 2.0 * llt.matrixLLT().diagonal().array().log().sum();
}

double scaled_condition(const SquareMatrix& matrix) {
  const Eigen::MatrixXd a = view(matrix);
  const Eigen::VectorXd s = scales(a);
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(s.asDiagonal() * a * s.asDiagonal(),
                                                             Eigen::EigenvaluesOnly);
  const double smallest = eigen.eigenvalues()[0];
  const double largest = eigen.eigenvalues()[a.rows() - 1];
  return smallest > 0.0 ? largest / smallest : std::numeric_limits<double>::infinity();
}

SquareMatrix propagate(const std::vector<double>& jacobian, std::size_t rows,
                       const SquareMatrix& covariance) {
  const Eigen::Map<const RowMajor> j{jacobian.data(), static_cast<Eigen::Index>(rows),
                                     static_cast<Eigen::Index>(covariance.size)};
  return from_eigen(j * view(covariance) * j.transpose());
}

}  // namespace qn
