// SPDX-License-Identifier: Apache-2.0
#include "estimation/skyline_factor.h"

#include <algorithm>
#include <cmath>

#include "vocab/expects.h"

namespace qn {

SkylineFactor::SkylineFactor(std::vector<std::vector<double>> rows) : rows_{std::move(rows)} {
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    QN_EXPECTS(!rows_[i].empty() && rows_[i].size() <= i + 1);
    std::vector<double>& row = rows_[i];
    const std::size_t first = begin(i);
    for (std::size_t j = first; j < i; ++j) {
      const std::vector<double>& other = rows_[j];
      const std::size_t shared = std::max(first, begin(j));
      double sum = row[j - first];
      for (std::size_t k = shared; k < j; ++k) sum -= row[k - first] * other[k - begin(j)];
      row[j - first] = sum / other.back();
    }
    double left = row.back();
    for (std::size_t k = first; k < i; ++k) left -= row[k - first] * row[k - first];
    sound_ = sound_ && left > 0.0;
    row.back() = std::sqrt(std::max(left, 1e-300));
  }
}

// Row i of L, without its diagonal, times x, from column `from` on.
double SkylineFactor::dot(std::size_t i, const std::vector<double>& x, std::size_t from) const {
  const std::size_t first = begin(i);
  double sum = 0.0;
  for (std::size_t k = std::max(first, from); k < i; ++k) sum += rows_[i][k - first] * x[k];
  return sum;
}

std::vector<double> SkylineFactor::solve(std::vector<double> b) const {
  QN_EXPECTS(b.size() == size());
  for (std::size_t i = 0; i < size(); ++i) b[i] = (b[i] - dot(i, b, 0)) / rows_[i].back();
  for (std::size_t i = size(); i-- > 0;) {
    b[i] /= rows_[i].back();
    for (std::size_t k = begin(i); k < i; ++k) b[k] -= rows_[i][k - begin(i)] * b[i];
  }
  return b;
}

double SkylineFactor::square(const std::vector<std::pair<std::size_t, double>>& b) const {
  if (b.empty()) return 0.0;
  const std::size_t from = b.front().first;
  std::vector<double> x(size(), 0.0);
  double sum = 0.0;
  auto next = b.begin();
  for (std::size_t i = from; i < size(); ++i) {
    double right = 0.0;
    if (next != b.end() && next->first == i) {
      right = next->second;
      ++next;
    }
    x[i] = (right - dot(i, x, from)) / rows_[i].back();
    sum += x[i] * x[i];
  }
  return sum;
}

std::vector<double> SkylineFactor::inverse_diagonal() const {
  // Z = A^-1 obeys L' Z = L^-1, of which below the diagonal nothing but zeros is known or needed:
  // Z(i, j) = (i == j) / L(i, i)^2 - sum over k > i of L(k, i) Z(k, j) / L(i, i), i <= j.
  const std::size_t n = size();
  std::vector<std::vector<double>> z(n);  // lower rows, as the factor's own
  for (std::size_t i = 0; i < n; ++i) z[i].resize(rows_[i].size());
  std::vector<std::vector<std::size_t>> below(n);  // rows whose skyline reaches back to column i
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = begin(k); i < k; ++i) below[i].push_back(k);
  }
  const auto entry = [&](std::size_t a, std::size_t b) {
    return a >= b ? z[a][b - begin(a)] : z[b][a - begin(b)];
  };
  for (std::size_t i = n; i-- > 0;) {
    const double own = rows_[i].back();
    for (const std::size_t j : below[i]) {
      double sum = 0.0;
      for (const std::size_t k : below[i]) sum += rows_[k][i - begin(k)] * entry(k, j);
      z[j][i - begin(j)] = -sum / own;
    }
    double sum = 0.0;
    for (const std::size_t k : below[i]) sum += rows_[k][i - begin(k)] * z[k][i - begin(k)];
    z[i].back() = (1.0 / own - sum) / own;
  }
  std::vector<double> out;
  for (std::size_t i = 0; i < n; ++i) out.push_back(z[i].back());
  return out;
}

}  // namespace qn
