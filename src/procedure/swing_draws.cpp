// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_fit_internal.h"

namespace qn {
namespace {

// From here on the readings' intervals have corners that a normal law does not have.
constexpr double kCoarse = 2.0;
// Proposals are this much wider than the normal law, and this many times more.
constexpr double kWider = 1.3;
constexpr std::size_t kOversampling = 4;

using Root = std::array<std::array<double, kSwingParameters>, kSwingParameters>;

Root lower_root_of(const SquareMatrix& covariance) {
  Root root{};
  for (std::size_t i = 0; i < kSwingParameters; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double sum = covariance(i, j);
      for (std::size_t k = 0; k < j; ++k) sum -= root[i][k] * root[j][k];
      root[i][j] =
          i == j ? std::sqrt(std::max(sum, 0.0)) : (root[j][j] > 0.0 ? sum / root[j][j] : 0.0);
    }
  }
  return root;
}

// Which node each of `count` draws comes from: as evenly as the weights allow.
std::vector<std::size_t> spread_over(const std::vector<double>& log_weights, std::size_t count) {
  const double best = *std::max_element(log_weights.begin(), log_weights.end());
  double total = 0.0;
  for (const double w : log_weights) total += std::exp(w - best);
  std::vector<std::size_t> out;
  double reached = 0.0;
  for (std::size_t k = 0; k < log_weights.size(); ++k) {
    reached += std::exp(log_weights[k] - best) / total * static_cast<double>(count);
    while (out.size() < count && static_cast<double>(out.size()) + 0.5 < reached) out.push_back(k);
  }
  while (out.size() < count) out.push_back(log_weights.size() - 1);
  return out;
}

struct Proposal {
  SwingParameters theta{};
  std::size_t node = 0;
  double squares = 0.0;  // of the standard normal numbers it was made of
};

std::vector<Proposal> propose(const SwingPosterior& posterior, std::size_t count, double wider,
                              unsigned seed) {
  SquareMatrix unit{kSwingParameters};
  for (std::size_t i = 0; i < kSwingParameters; ++i) unit(i, i) = 1.0;
  const auto normal = gaussian_draws(unit, count, seed);
  std::vector<double> log_weights;
  std::vector<Root> roots;
  for (const SwingNode& node : posterior.nodes) {
    log_weights.push_back(node.log_weight);
    roots.push_back(lower_root_of(node.covariance));
  }
  const auto from = spread_over(log_weights, count);
  std::vector<Proposal> out(count);
  for (std::size_t d = 0; d < count; ++d) {
    Proposal& p = out[d];
    p.node = from[d];
    p.theta = posterior.nodes[p.node].theta;
    const double* z = normal.data() + d * kSwingParameters;
    for (std::size_t i = 0; i < kSwingParameters; ++i) {
      p.squares += z[i] * z[i];
      for (std::size_t j = 0; j <= i; ++j) p.theta[i] += wider * roots[p.node][i][j] * z[j];
    }
  }
  return out;
}

}  // namespace

std::vector<SwingParameters> draw_swing(const std::vector<SwingRow>& rows,
                                        const SwingPosterior& posterior, const SwingPrior& prior,
                                        std::size_t count, unsigned seed) {
  std::vector<SwingParameters> out;
  const double noise = posterior.mean_scale() * prior.sigma(0.0);
  if (prior.rounding_deg < kCoarse * noise) {
    for (const Proposal& p : propose(posterior, count, 1.0, seed)) out.push_back(p.theta);
    return out;
  }
  const auto proposals = propose(posterior, kOversampling * count, kWider, seed);
  std::vector<double> log_weights;
  for (const Proposal& p : proposals) {
    const SwingNode& node = posterior.nodes[p.node];
    const double log_proposed = node.log_weight + 0.5 * node.log_determinant - 0.5 * p.squares;
    log_weights.push_back(swing_log_density(rows, posterior.form, prior, p.theta, node.scale) -
                          log_proposed);
  }
  for (const std::size_t chosen : spread_over(log_weights, count)) {
    out.push_back(proposals[chosen].theta);
  }
  return out;
}

}  // namespace qn
