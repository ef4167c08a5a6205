// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace qn {

/// Cholesky factor of a symmetric positive definite matrix in whose rows everything before some
/// entry is zero: effects in the order of time, of which only near ones have anything in common.
/// Cost: the square of the usual row length, times the rows; what a dense inverse gives costs the
/// cube of the rows.
class SkylineFactor {
 public:
  /// rows  row i ends at the diagonal and begins where the matrix does
  explicit SkylineFactor(std::vector<std::vector<double>> rows);

  /// Whether the matrix was positive definite.
  bool sound() const { return sound_; }
  std::size_t size() const { return rows_.size(); }

  /// A^-1 b.
  std::vector<double> solve(std::vector<double> b) const;

  /// Diagonal of A^-1, by Takahashi's recursion (no more of the inverse than the skyline holds).
  std::vector<double> inverse_diagonal() const;

  /// b' A^-1 b, b given by its entries in ascending order; all others are zero.
  double square(const std::vector<std::pair<std::size_t, double>>& b) const;

 private:
  std::size_t begin(std::size_t i) const { return i + 1 - rows_[i].size(); }
  double dot(std::size_t i, const std::vector<double>& x, std::size_t from) const;

  std::vector<std::vector<double>> rows_;  ///< of L, A = L L'
  bool sound_ = true;
};

}  // namespace qn
