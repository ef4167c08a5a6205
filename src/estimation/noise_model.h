// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <vector>

#include "estimation/row_block.h"

namespace qn {

/// Noise as the sum of a part that is new at every sample and a part that fades with a time
/// constant (first-order autoregressive), in the unit of the residuals.
struct NoiseModel {
  double white_variance = 1.0;
  double slow_variance = 0.0;
  double time_constant_s = 0.0;  ///< of the slow part, > 0 when slow_variance > 0

  double variance() const { return white_variance + slow_variance; }
  double sigma() const { return std::sqrt(variance()); }
  /// Time over which the noise as a whole stays alike: the area under its correlation, halved.
  double correlation_time_s() const {
    return variance() > 0.0 ? slow_variance / variance() * time_constant_s : 0.0;
  }
  /// Variance of the mean of n samples taken every interval_s.
  double variance_of_mean(std::size_t n, double interval_s) const;
};

/// What the filter remembers from one block to the next of the same series. Empty at the start.
struct WhitenerState {
  bool started = false;
  double time_s = 0.0;
  double variance = 0.0;        ///< of the slow part, given all rows so far
  std::vector<double> columns;  ///< its estimate, a number per column
};

/// Makes the rows independent with unit variance, in place: every column, the residual included,
/// goes through the same Kalman filter (state: the slow part), so that ordinary least squares on
/// the result is maximum likelihood. Rows not in use become zero. Cost O(rows * parameters).
///
/// state    carried from the block before, so that cutting a series into blocks changes nothing
/// returns  the sum of log innovation variances of the rows in use
double whiten(RowBlock& block, const NoiseModel& noise, WhitenerState& state);

}  // namespace qn
