// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_fit_internal.h"
#include "procedure/swing_interval_internal.h"

namespace qn {
namespace {

constexpr double kCoarse = 2.0;
// Proposals are this much wider than the normal law, and this many times more.
constexpr double kWider = 1.3;
constexpr std::size_t kOversampling = 2;
constexpr std::size_t kNumbered = 4096;  // draws; after these the sequence begins again

// Points of an additive sequence in seven dimensions (steps are powers of the root of x^8 = x + 1,
// the generalised golden ratio): any stretch of it is spread evenly, so that few draws do.
std::vector<double> make_numbers() {
  constexpr double kRoot = 1.0969815577985598;
  std::vector<double> out(kNumbered * kSwingNumbers);
  for (std::size_t j = 0; j < kSwingNumbers; ++j) {
    const double step = std::pow(kRoot, -static_cast<double>(j + 1));
    for (std::size_t d = 0; d < kNumbered; d += 2) {
      const std::size_t pair = d / 2 + 1;
      const double at = 0.5 + step * static_cast<double>(pair);
      const double u = std::clamp(at - std::floor(at), 1e-6, 1.0 - 1e-6);
      const double z = normal_quantile(u);
      out[d * kSwingNumbers + j] = z;
      out[(d + 1) * kSwingNumbers + j] = -z;
    }
  }
  return out;
}

// Which node each of `count` draws comes from: as evenly as the weights allow.
std::vector<std::size_t> spread_over(const std::vector<double>& log_weights, std::size_t count) {
  const double best = *std::max_element(log_weights.begin(), log_weights.end());
  double total = 0.0;
  for (const double w : log_weights) total += std::exp(w - best);
  std::vector<std::size_t> out;
  out.reserve(count);
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

std::vector<Proposal> propose(const SwingPosterior& posterior, std::size_t first, std::size_t count,
                              double wider) {
  std::vector<double> log_weights;
  for (const SwingNode& node : posterior.nodes) log_weights.push_back(node.log_weight);
  const auto from = spread_over(log_weights, count);
  std::vector<Proposal> out(count);
  for (std::size_t d = 0; d < count; ++d) {
    Proposal& p = out[d];
    p.node = from[d];
    p.theta = posterior.nodes[p.node].theta;
    const SwingMatrix& root = posterior.nodes[p.node].spread.root;
    const double* z = swing_numbers(first + d);
    for (std::size_t i = 0; i < kSwingParameters; ++i) {
      p.squares += z[i] * z[i];
      double sum = 0.0;
      for (std::size_t j = i; j < kSwingParameters; ++j) sum += root[i][j] * z[j];
      p.theta[i] += wider * sum;
    }
  }
  return out;
}

// Log of likelihood times prior at many parameters beside one node's, with the expected readings
// linear about it.
class DensityBeside {
 public:
  DensityBeside(const std::vector<SwingRow>& rows, const SwingPosterior& posterior,
                const SwingPrior& prior, const SwingNode& node)
      : prior_{prior}, node_{node} {
    for (const SwingRow& row : rows) {
      views_.push_back(view_row(row, posterior.form, node.theta, prior, std::nullopt,
                                node.tilt ? node.tilt->mean : SwingTilt{}));
      SwingRowView& view = views_.back();
      view.sigma_deg *= node.scale;
      if (!node.tilt) continue;
      // What tilt adds goes with the parameters, as likely as it is then: integrated out so.
      const SwingTilt ways = tilt_gradient(row, view.gradient);
      for (std::size_t j = 0; j < kSwingParameters; ++j) {
        for (std::size_t t = 0; t < kTiltNumbers; ++t) {
          view.gradient[j] += ways[t] * node.tilt->follows[t][j];
        }
      }
    }
    fixed_ = log_scale_prior(node.scale, prior) -
             static_cast<double>(rows.size()) * std::log(prior.rounding_deg);
  }

  double log_at(const SwingParameters& theta) const {
    double sum = fixed_;
    SwingParameters off;
    for (std::size_t j = 0; j < kSwingParameters; ++j) {
      off[j] = theta[j] - node_.theta[j];
      sum -= 0.5 * theta[j] * theta[j] / (prior_.sd[j] * prior_.sd[j]);
    }
    if (node_.tilt) {
      SwingTilt tilt = node_.tilt->moved_by(off);
      for (std::size_t t = 0; t < kTiltNumbers; ++t) tilt[t] += node_.tilt->mean[t];
      sum += TiltEquations{}.add_prior(tilt) - 0.5 * node_.tilt->log_determinant;
    }
    double product = 1.0;
    for (const SwingRowView& view : views_) {
      double left = view.left_deg;
      for (std::size_t j = 0; j < kSwingParameters; ++j) left -= view.gradient[j] * off[j];
      const double chance = rounded_chance(left, view.sigma_deg, prior_.rounding_deg);
      if (chance < 1e-5) {
        sum += rounded_likelihood(left, view.sigma_deg, prior_.rounding_deg).log +
               std::log(prior_.rounding_deg);
        continue;
      }
      product *= chance;
      if (product < 1e-200) {
        sum += std::log(product);
        product = 1.0;
      }
    }
    return sum + std::log(product);
  }

 private:
  const SwingPrior& prior_;
  const SwingNode& node_;
  std::vector<SwingRowView> views_;
  double fixed_ = 0.0;
};

}  // namespace

const double* swing_numbers(std::size_t draw) {
  static const std::vector<double> numbers = make_numbers();
  return numbers.data() + draw % kNumbered * kSwingNumbers;
}

bool coarsely_rounded(const SwingPosterior& posterior, const SwingPrior& prior) {
  return prior.rounding_deg >= kCoarse * posterior.mean_scale() * prior.sigma(0.0);
}

void draw_swing(const std::vector<SwingRow>& rows, const SwingPosterior& posterior,
                const SwingPrior& prior, std::size_t first, std::size_t count,
                std::vector<SwingParameters>& out) {
  if (!coarsely_rounded(posterior, prior)) {
    for (const Proposal& p : propose(posterior, first, count, 1.0)) out.push_back(p.theta);
    return;
  }
  const auto proposals = propose(posterior, first, kOversampling * count, kWider);
  std::vector<DensityBeside> beside;
  for (const SwingNode& node : posterior.nodes) beside.emplace_back(rows, posterior, prior, node);
  std::vector<double> log_weights;
  log_weights.reserve(proposals.size());
  for (const Proposal& p : proposals) {
    const SwingNode& node = posterior.nodes[p.node];
    const double log_proposed =
        node.log_weight + 0.5 * node.spread.log_determinant - 0.5 * p.squares;
    log_weights.push_back(beside[p.node].log_at(p.theta) - log_proposed);
  }
  for (const std::size_t chosen : spread_over(log_weights, count)) {
    out.push_back(proposals[chosen].theta);
  }
}

}  // namespace qn
