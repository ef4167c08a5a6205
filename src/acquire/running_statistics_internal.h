// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <limits>

namespace qn {

/// Count, extremes, mean and spread of numbers that pass by in blocks. Joining is that of Chan,
/// Golub and LeVeque (1983): no loss of digits when the mean is large beside the spread.
class RunningStatistics {
 public:
  /// All of a block; none may be NaN.
  void add_all(const double* values, std::size_t count) {
    if (count == 0) return;
    // Taken about a typical value, the sum of squares of one block is accurate enough. Four lanes,
    // because one chain of additions would wait for itself.
    const double about = values[0];
    std::array<double, 4> sum{}, squares{};
    std::array<double, 4> low{about, about, about, about}, high = low;
    std::size_t i = 0;
    for (; i + 4 <= count; i += 4) {
      for (std::size_t lane = 0; lane < 4; ++lane) {
        const double v = values[i + lane];
        const double d = v - about;
        sum[lane] += d;
        squares[lane] += d * d;
        low[lane] = v < low[lane] ? v : low[lane];
        high[lane] = v > high[lane] ? v : high[lane];
      }
    }
    for (std::size_t lane = 0; i < count; ++i, ++lane) {
      const double d = values[i] - about;
      sum[lane] += d;
      squares[lane] += d * d;
      low[lane] = values[i] < low[lane] ? values[i] : low[lane];
      high[lane] = values[i] > high[lane] ? values[i] : high[lane];
    }
    const double n = static_cast<double>(count);
    const double total = (sum[0] + sum[1]) + (sum[2] + sum[3]);
    const double total_squares = (squares[0] + squares[1]) + (squares[2] + squares[3]);
    RunningStatistics block;
    block.count_ = count;
    block.mean_ = about + total / n;
    block.m2_ = std::fmax(0.0, total_squares - total * total / n);
    block.min_ = std::fmin(std::fmin(low[0], low[1]), std::fmin(low[2], low[3]));
    block.max_ = std::fmax(std::fmax(high[0], high[1]), std::fmax(high[2], high[3]));
    join(block);
  }

  void join(const RunningStatistics& other) {
    if (other.count_ == 0) return;
    const double n = static_cast<double>(count_);
    const double m = static_cast<double>(other.count_);
    const double step = other.mean_ - mean_;
    mean_ += step * (m / (n + m));
    m2_ += other.m2_ + step * step * (n * m / (n + m));
    count_ += other.count_;
    min_ = std::fmin(min_, other.min_);
    max_ = std::fmax(max_, other.max_);
  }

  std::size_t count() const { return count_; }
  double mean() const { return mean_; }
  double min() const { return min_; }
  double max() const { return max_; }
  double standard_deviation() const {
    return count_ < 2 ? 0.0 : std::sqrt(m2_ / static_cast<double>(count_ - 1));
  }

 private:
  std::size_t count_ = 0;
  double mean_ = 0.0;
  double m2_ = 0.0;
  double min_ = std::numeric_limits<double>::infinity();
  double max_ = -std::numeric_limits<double>::infinity();
};

}  // namespace qn
