// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

namespace qn {

/// What the rest field of a sensor at rest does by itself: a level that wanders, with a slope that
/// wanders too (warming up), noise with a short memory and noise without one. In the unit of the
/// series, squared; rates per second.
struct DriftNoise {
  double white_variance = 1.0;  ///< of a block of nominal length
  double level_rate = 0.0;      ///< the level's own random walk, unit^2 / s
  double slope_rate = 0.0;      ///< the slope's random walk, (unit / s)^2 / s
  double slow_variance = 0.0;   ///< first-order autoregressive part
  double slow_time_s = 1.0;     ///< its time constant, > 0
};

/// Block means of a series: what the filter sees of it.
struct BlockTimes {
  std::vector<double> time_s;      ///< strictly increasing
  std::vector<double> weight;      ///< white variance of block b is white_variance / weight[b]
  std::vector<double> extra;       ///< known further variance of block b, unit^2; may be empty
  std::vector<unsigned char> use;  ///< 0: the block says nothing
  std::vector<unsigned char>
      fresh;  ///< 1: the level may have jumped before this block; may be empty
};

/// A regressor that is zero before block `begin` and after its last value.
struct BlockColumn {
  std::size_t begin = 0;
  std::vector<double> values;
};

/// The Kalman filter of a DriftNoise over one set of blocks. Its gains do not depend on the data,
/// so that every column costs only a recursion of three numbers.
class DriftFilter {
 public:
  DriftFilter(const DriftNoise& noise, const BlockTimes& blocks);

  /// The column with the drift taken out and every block independent with unit variance; it goes
  /// on after the column's end until nothing of it is left.
  BlockColumn whiten(const BlockColumn& column) const;
  /// The same of many, several at a time.
  std::vector<BlockColumn> whiten(const std::vector<BlockColumn>& columns) const;

  /// C^-1 series, C the covariance of the blocks under this noise; 0 where a block is not in use.
  std::vector<double> weighted(const std::vector<double>& series) const;

  /// Sum of log innovation variances over the blocks in use.
  double log_variance() const { return log_variance_; }
  std::size_t blocks_in_use() const { return in_use_; }

  /// The level (drift, without noise) that the blocks of `series` ask for, smoothed both ways.
  std::vector<double> smoothed_level(const std::vector<double>& series) const;

 private:
  struct Step {
    double interval_s = 0.0;     ///< from the block before
    double fade = 1.0;           ///< of the slow part over it
    double gain[3] = {0, 0, 0};  ///< level, slope, slow
    double inverse_sd = 0.0;     ///< of the innovation; 0 where the block is not in use
  };
  /// Forward and backward pass: receives each block's predicted state and its gradient.
  struct Backward {
    std::array<double, 3> predicted, gradient;
    double weighted = 0.0;
  };
  std::vector<Backward> both_ways(const std::vector<double>& series) const;
  static constexpr std::size_t kSideBySide = 8;
  void whiten_some(const std::array<const BlockColumn*, kSideBySide>& columns,
                   const std::array<BlockColumn*, kSideBySide>& out) const;

  std::vector<Step> steps_;
  std::vector<double> covariance_;  ///< predicted, 6 numbers a block, for the smoother
  double log_variance_ = 0.0;
  std::size_t in_use_ = 0;
};

/// Size and colour of the drift by maximum likelihood, the scale profiled. The level is free to
/// jump at `blocks.fresh`, so that no effect of what was switched there is mistaken for drift.
///
/// about  what it was found to be before: the search begins there, and is soon at its end
DriftNoise fit_drift_noise(const BlockTimes& blocks, const std::vector<double>& series,
                           const std::optional<DriftNoise>& about = std::nullopt);

}  // namespace qn
