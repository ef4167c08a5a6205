// SPDX-License-Identifier: Apache-2.0
#include "estimation/joint_effects.h"

#include <algorithm>
#include <cmath>

#include "vocab/expects.h"

namespace qn {
double overlap(const BlockColumn& a, const BlockColumn& b) {
  const std::size_t from = std::max(a.begin, b.begin);
  const std::size_t to = std::min(a.begin + a.values.size(), b.begin + b.values.size());
  double sum = 0.0;
  for (std::size_t k = from; k < to; ++k) sum += a.values[k - a.begin] * b.values[k - b.begin];
  return sum;
}

EffectEquations::EffectEquations(const DriftFilter& filter, const std::vector<BlockColumn>& columns,
                                 const std::vector<double>& series)
    : information_{columns.size()}, gradient_(columns.size(), 0.0), rows_{filter.blocks_in_use()} {
  white_.reserve(columns.size());
  for (const BlockColumn& column : columns) white_.push_back(filter.whiten(column));
  const BlockColumn data = filter.whiten({0, series});
  sum_squares_ = overlap(data, data);
  for (std::size_t i = 0; i < columns.size(); ++i) {
    gradient_[i] = overlap(white_[i], data);
    for (std::size_t j = i; j < columns.size(); ++j) {
      information_(i, j) = information_(j, i) = overlap(white_[i], white_[j]);
    }
  }
}

JointEffects EffectEquations::solve(const std::vector<std::size_t>& group, std::size_t effects,
                                    double prior_sd) const {
  QN_EXPECTS(group.size() == columns() && prior_sd > 0.0);
  SquareMatrix information{effects};
  std::vector<double> gradient(effects, 0.0);
  for (std::size_t i = 0; i < columns(); ++i) {
    gradient[group[i]] += gradient_[i];
    for (std::size_t j = 0; j < columns(); ++j) {
      information(group[i], group[j]) += information_(i, j);
    }
  }
  for (std::size_t e = 0; e < effects; ++e) information(e, e) += 1.0 / (prior_sd * prior_sd);
  JointEffects out;
  out.covariance = inverse(information);
  out.size.assign(effects, 0.0);
  if (out.covariance.size == 0) {  // cannot happen with a prior, short of overflow
    out.covariance = SquareMatrix{effects};
    for (std::size_t e = 0; e < effects; ++e) out.covariance(e, e) = prior_sd * prior_sd;
    return out;
  }
  double explained = 0.0;
  for (std::size_t e = 0; e < effects; ++e) {
    for (std::size_t f = 0; f < effects; ++f) out.size[e] += out.covariance(e, f) * gradient[f];
    explained += out.size[e] * gradient[e];
  }
  const double freedom =
      std::max(1.0, static_cast<double>(rows_) - static_cast<double>(effects) - 2.0);
  out.weighted_rms = std::sqrt(std::max(0.0, sum_squares_ - explained) / freedom);
  return out;
}

}  // namespace qn
