// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

namespace qn {

/// Consecutive rows of a linearised least-squares problem, one row a sample, column by column.
///
/// Columns 0 .. parameters-1 hold the derivatives of the residual, the last column the residual.
/// Where `use` is 0 the row does not count: it is a gap in time, and its numbers are ignored.
/// `turn` is the correlation that geometry leaves between this row's noise and the row before it
/// (1 when the direction the noise is seen along has not changed).
struct RowBlock {
  std::size_t rows = 0;
  std::size_t parameters = 0;
  std::vector<double> columns;
  std::vector<double> time_s;
  std::vector<double> turn;
  std::vector<unsigned char> use;

  void resize(std::size_t row_count, std::size_t parameter_count) {
    rows = row_count;
    parameters = parameter_count;
    columns.resize(rows * (parameters + 1));
    time_s.resize(rows);
    turn.assign(rows, 1.0);
    use.assign(rows, 1);
  }
  double* column(std::size_t p) { return columns.data() + p * rows; }
  const double* column(std::size_t p) const { return columns.data() + p * rows; }
  double* residual() { return column(parameters); }
  const double* residual() const { return column(parameters); }
};

}  // namespace qn
