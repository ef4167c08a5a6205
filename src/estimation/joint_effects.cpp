// SPDX-License-Identifier: Apache-2.0
#include "estimation/joint_effects.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "vocab/expects.h"

namespace qn {

double overlap(const BlockColumn& a, const BlockColumn& b) {
  const std::size_t from = std::max(a.begin, b.begin);
  const std::size_t to = std::min(a.begin + a.values.size(), b.begin + b.values.size());
  if (from >= to) return 0.0;
  const double* x = a.values.data() + (from - a.begin);
  const double* y = b.values.data() + (from - b.begin);
  const std::size_t n = to - from;
  double sums[4] = {0.0, 0.0, 0.0, 0.0};  // four at a time: one sum would wait for itself
  std::size_t k = 0;
  for (; k + 4 <= n; k += 4) {
    for (std::size_t i = 0; i < 4; ++i) sums[i] += x[k + i] * y[k + i];
  }
  for (; k < n; ++k) sums[0] += x[k] * y[k];
  return (sums[0] + sums[1]) + (sums[2] + sums[3]);
}

EffectEquations::EffectEquations(const DriftFilter& filter, const std::vector<BlockColumn>& columns,
                                 const std::vector<double>& series)
    : white_{filter.whiten(columns)},
      order_(columns.size()),
      gradient_(columns.size(), 0.0),
      rows_{filter.blocks_in_use()} {
  const BlockColumn data = filter.whiten(BlockColumn{0, series});
  sum_squares_ = overlap(data, data);
  std::iota(order_.begin(), order_.end(), std::size_t{0});
  std::stable_sort(order_.begin(), order_.end(),
                   [&](std::size_t a, std::size_t b) { return white_[a].begin < white_[b].begin; });
  for (std::size_t p = 0; p < order_.size(); ++p) {
    const BlockColumn& here = white_[order_[p]];
    gradient_[order_[p]] = overlap(here, data);
    for (std::size_t q = p; q < order_.size(); ++q) {
      const BlockColumn& later = white_[order_[q]];
      if (q > p && later.begin >= here.begin + here.values.size()) break;
      shared_.push_back({order_[p], order_[q], overlap(here, later)});
    }
  }
}

JointEffects EffectEquations::solve(const std::vector<std::size_t>& group, std::size_t effects,
                                    double prior_sd) const {
  QN_EXPECTS(group.size() == columns() && prior_sd > 0.0);
  SquareMatrix information{effects};
  std::vector<double> gradient(effects, 0.0);
  for (std::size_t i = 0; i < columns(); ++i) gradient[group[i]] += gradient_[i];
  for (const Shared& both : shared_) {
    information(group[both.i], group[both.j]) += both.sum;
    if (both.i != both.j) information(group[both.j], group[both.i]) += both.sum;
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

SingleEffects EffectEquations::solve_single(double prior_sd) const {
  QN_EXPECTS(prior_sd > 0.0);
  const std::size_t n = columns();
  SingleEffects out;
  out.place.resize(n);
  for (std::size_t p = 0; p < n; ++p) out.place[order_[p]] = p;
  std::vector<std::size_t> first(n);
  std::iota(first.begin(), first.end(), std::size_t{0});
  for (const Shared& both : shared_) {
    std::size_t& reach = first[out.place[both.j]];
    reach = std::min(reach, out.place[both.i]);
  }
  std::vector<std::vector<double>> rows(n);
  for (std::size_t p = 0; p < n; ++p) {
    rows[p].assign(p + 1 - first[p], 0.0);
    rows[p].back() = 1.0 / (prior_sd * prior_sd);
  }
  for (const Shared& both : shared_) {
    const std::size_t p = out.place[both.j];
    rows[p][out.place[both.i] - first[p]] += both.sum;
  }
  std::vector<double> gradient(n);
  for (std::size_t c = 0; c < n; ++c) gradient[out.place[c]] = gradient_[c];
  out.factor = SkylineFactor{std::move(rows)};
  out.size.assign(n, 0.0);
  out.sigma.assign(n, prior_sd);
  if (!out.factor.sound()) return out;  // cannot happen with a prior, short of overflow
  const std::vector<double> size = out.factor.solve(gradient);
  const std::vector<double> variance = out.factor.inverse_diagonal();
  for (std::size_t c = 0; c < n; ++c) {
    out.size[c] = size[out.place[c]];
    out.sigma[c] = std::sqrt(std::max(0.0, variance[out.place[c]]));
  }
  return out;
}

double SingleEffects::taken(const std::vector<std::pair<std::size_t, double>>& shared) const {
  std::vector<std::pair<std::size_t, double>> placed;
  placed.reserve(shared.size());
  for (const auto& [column, sum] : shared) placed.emplace_back(place[column], sum);
  std::sort(placed.begin(), placed.end());
  return factor.square(placed);
}

}  // namespace qn
