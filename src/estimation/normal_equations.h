// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "estimation/row_block.h"

namespace qn {

/// A small dense square matrix, row-major. Only what crosses a header; the algebra is Eigen's.
struct SquareMatrix {
  std::size_t size = 0;
  std::vector<double> values;

  explicit SquareMatrix(std::size_t n = 0) : size{n}, values(n * n, 0.0) {}
  double& operator()(std::size_t i, std::size_t j) { return values[i * size + j]; }
  double operator()(std::size_t i, std::size_t j) const { return values[i * size + j]; }
};

/// The sums that least squares needs: J'J, J'r, r'r. Adding is exact in order: the same blocks in
/// the same order give the same digits.
struct NormalEquations {
  SquareMatrix information;      ///< J'J
  std::vector<double> gradient;  ///< J'r
  double cost = 0.0;             ///< r'r
  std::size_t rows = 0;          ///< rows in use

  explicit NormalEquations(std::size_t parameters = 0)
      : information{parameters}, gradient(parameters, 0.0) {}
  std::size_t parameters() const { return gradient.size(); }
  void add(const RowBlock& whitened);
  void add(const NormalEquations& other);
  /// One row with its own standard deviation: derivatives and residual, both divided by sigma.
  void add_row(const std::vector<double>& derivatives, double residual, double sigma);
  /// A quadratic prior: adds (theta - mean)' P (theta - mean), given offset = theta - mean.
  void add_prior(const SquareMatrix& precision, const std::vector<double>& offset);
};

/// -(A + damping diag A)^-1 gradient. Columns are scaled to unit diagonal first.
std::vector<double> solve_step(const NormalEquations& equations, double damping);

/// Inverse of a symmetric positive definite matrix (scaled inside). A matrix that is not positive
/// definite gives an empty matrix.
SquareMatrix inverse(const SquareMatrix& a);
double log_determinant(const SquareMatrix& a);

/// Largest over smallest eigenvalue after scaling to unit diagonal; infinity when singular.
double scaled_condition(const SquareMatrix& a);

/// J V J' for a dense map J (rows x V.size, row-major).
SquareMatrix propagate(const std::vector<double>& jacobian, std::size_t rows,
                       const SquareMatrix& covariance);

}  // namespace qn
