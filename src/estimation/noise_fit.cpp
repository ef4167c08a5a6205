// SPDX-License-Identifier: Apache-2.0
#include "estimation/noise_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "estimation/gaussian_draws.h"

namespace qn {
namespace {

struct Shape {
  double slow_share = 0.0;  // of the variance, 0 .. 1
  double time_constant_s = 1.0;
};

struct Evaluation {
  double log_likelihood = -std::numeric_limits<double>::infinity();
  double variance = 0.0;
};

class RestrictedLikelihood {
 public:
  RestrictedLikelihood(const std::vector<RowBlock>& blocks, const SquareMatrix& prior,
                       double variance)
      : blocks_{blocks}, prior_{prior}, variance_{variance} {}

  Evaluation at(const Shape& shape) const {
    const NoiseModel unit{1.0 - shape.slow_share, shape.slow_share, shape.time_constant_s};
    NormalEquations sums{prior_.size};
    double log_variances = 0.0;
    for (const RowBlock& block : blocks_) {
      RowBlock copy = block;
      WhitenerState fresh;
      log_variances += whiten(copy, unit, fresh);
      sums.add(copy);
    }
    const SquareMatrix data_information = sums.information;
    for (std::size_t i = 0; i < prior_.values.size(); ++i) {
      sums.information.values[i] += prior_.values[i] * variance_;
    }
    const std::vector<double> step = solve_step(sums, 0.0);
    double reduced = sums.cost;
    for (std::size_t i = 0; i < step.size(); ++i) reduced += sums.gradient[i] * step[i];
    const SquareMatrix covariance = inverse(sums.information);
    if (covariance.size != prior_.size) return {};
    double swallowed = 0.0;  // effective number of parameters
    for (std::size_t i = 0; i < prior_.size; ++i) {
      for (std::size_t j = 0; j < prior_.size; ++j) {
        swallowed += covariance(i, j) * data_information(j, i);
      }
    }
    const double freedom = static_cast<double>(sums.rows) - swallowed;
    if (freedom < 1.0 || !(reduced > 0.0)) return {};
    Evaluation out;
    out.variance = reduced / freedom;
    out.log_likelihood = -0.5 * (freedom * std::log(out.variance) + log_variances +
                                 log_determinant(sums.information));
    return out;
  }

 private:
  const std::vector<RowBlock>& blocks_;
  const SquareMatrix& prior_;
  double variance_;
};

struct Span {
  double interval_s = 0.0;
  double longest_s = 0.0;
};

Span time_span(const std::vector<RowBlock>& blocks) {
  std::vector<double> steps;
  Span span;
  for (const RowBlock& block : blocks) {
    for (std::size_t k = 1; k < block.rows; ++k) {
      steps.push_back(block.time_s[k] - block.time_s[k - 1]);
    }
    if (block.rows > 1) {
      span.longest_s = std::max(span.longest_s, block.time_s[block.rows - 1] - block.time_s[0]);
    }
  }
  if (!steps.empty()) span.interval_s = quantile(steps, 0.5);
  return span;
}

}  // namespace

NoiseModel fit_noise(const std::vector<RowBlock>& blocks, const SquareMatrix& prior,
                     const NoiseModel& start) {
  const RestrictedLikelihood likelihood{blocks, prior, start.variance()};
  const Span span = time_span(blocks);
  Shape best{0.0, 1.0};
  Evaluation best_value = likelihood.at(best);

  const double shortest = 0.7 * span.interval_s;
  const double longest = 0.2 * span.longest_s;
  const auto consider = [&](double logit_share, double log_time) {
    const Shape shape{1.0 / (1.0 + std::exp(-logit_share)),
                      std::clamp(std::exp(log_time), shortest, longest)};
    const Evaluation value = likelihood.at(shape);
    if (value.log_likelihood <= best_value.log_likelihood) return false;
    best = shape;
    best_value = value;
    return true;
  };

  if (span.interval_s > 0.0 && longest > shortest) {
    double share = 0.0;
    double log_time = 0.0;
    const double low = std::log(shortest);
    const double high = std::log(longest);
    constexpr int kTimes = 5;
    for (int t = 0; t < kTimes; ++t) {
      for (const double s : {-2.5, 0.0, 2.5}) {
        const double lt = low + (high - low) * (t + 0.5) / kTimes;
        if (consider(s, lt)) {
          share = s;
          log_time = lt;
        }
      }
    }
    // Pattern search: the surface is smooth, with one ridge; steps halve until they no longer
    // matter for a band (a tenth in the logarithm of the time constant).
    double step = 1.0;
    while (best.slow_share > 0.0 && step > 0.05) {
      const std::array<std::array<double, 2>, 6> moves{
          {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, -1}, {-1, 1}}};
      bool moved = false;
      for (const auto& move : moves) {
        const double s = std::clamp(share + step * 1.5 * move[0], -9.0, 9.0);
        const double lt = std::clamp(log_time + step * move[1], low, high);
        if (consider(s, lt)) {
          share = s;
          log_time = lt;
          moved = true;
          break;
        }
      }
      if (!moved) step *= 0.5;
    }
  }

  NoiseModel noise;
  noise.white_variance = best_value.variance * (1.0 - best.slow_share);
  noise.slow_variance = best_value.variance * best.slow_share;
  noise.time_constant_s = best.slow_share > 0.0 ? best.time_constant_s : 0.0;
  return noise;
}

double long_memory_inflation(const std::vector<double>& e, std::size_t group) {
  const std::size_t groups = group > 0 ? e.size() / group : 0;
  if (groups < 8) return 1.0;  // too few to tell
  double sum = 0.0;
  for (std::size_t g = 0; g < groups; ++g) {
    double total = 0.0;
    for (std::size_t k = 0; k < group; ++k) total += e[g * group + k];
    sum += total * total / static_cast<double>(group);
  }
  const double n = static_cast<double>(groups);
  const double ratio = sum / n;
  // Wilson-Hilferty: the 99.5th percentile of chi-square / n.
  const double c = 2.0 / (9.0 * n);
  const double chance = std::pow(1.0 - c + 2.5758 * std::sqrt(c), 3.0);
  return ratio > chance ? ratio : 1.0;
}

}  // namespace qn
