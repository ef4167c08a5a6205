// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/swing_fit_internal.h"
#include "procedure/swing_interval_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Sizes of the noise tried, as multiples of what the prior says: from a fifth to six times.
constexpr double kFirstScale = 0.2;
constexpr double kScaleStep = 1.4;
constexpr int kScales = 11;
constexpr int kMiddle = 5;  // 0.2 * 1.4^5 = 1.08
// Sizes this much less likely than the best (as a logarithm) are not looked at further.
constexpr double kUnlikely = 9.0;

double scale_of(int node) { return kFirstScale * std::pow(kScaleStep, node); }

double log_scale_prior(double scale, const SwingPrior& prior) {
  return -prior.noise_dof * std::log(scale) - 0.5 * prior.noise_dof / (scale * scale);
}

struct Equations {
  NormalEquations normal{kSwingParameters};
  double log_density = 0.0;
};

Equations equations_at(const std::vector<SwingRow>& rows, DeviationForm form,
                       const SwingPrior& prior, const SwingParameters& theta, double scale) {
  Equations out;
  for (const SwingRow& row : rows) {
    const SwingRowView view = view_row(row, form, theta, prior);
    const double sigma = scale * view.sigma_deg;
    const auto part = rounded_likelihood(view.left_deg, sigma, prior.rounding_deg);
    out.log_density += part.log;
    // In the middle of a wide interval the reading says nothing; a floor keeps the step finite.
    const double least = 0.1 / (sigma * sigma + prior.rounding_deg * prior.rounding_deg / 12.0);
    const double weight = std::max(-part.second, least);
    for (std::size_t i = 0; i < kSwingParameters; ++i) {
      for (std::size_t j = 0; j < kSwingParameters; ++j) {
        out.normal.information(i, j) += weight * view.gradient[i] * view.gradient[j];
      }
      out.normal.gradient[i] -= part.first * view.gradient[i];
    }
  }
  for (std::size_t i = 0; i < kSwingParameters; ++i) {
    const double precision = 1.0 / (prior.sd[i] * prior.sd[i]);
    out.normal.information(i, i) += precision;
    out.normal.gradient[i] += precision * theta[i];
    out.log_density -= 0.5 * precision * theta[i] * theta[i];
  }
  return out;
}

SwingNode fit_node(const std::vector<SwingRow>& rows, DeviationForm form, const SwingPrior& prior,
                   const SwingParameters& start, double scale) {
  SwingNode node;
  node.scale = scale;
  node.theta = start;
  Equations at = equations_at(rows, form, prior, node.theta, scale);
  for (int i = 0; i < 25; ++i) {
    const auto step = solve_step(at.normal, 0.0);
    double shrink = 1.0;
    double largest = 0.0;
    for (const double s : step) largest = std::max(largest, std::fabs(s));
    if (largest > 40.0) shrink = 40.0 / largest;
    bool better = false;
    for (int tries = 0; tries < 4; ++tries, shrink *= 0.4) {
      SwingParameters next = node.theta;
      for (std::size_t j = 0; j < kSwingParameters; ++j) next[j] += shrink * step[j];
      Equations there = equations_at(rows, form, prior, next, scale);
      if (there.log_density < at.log_density - 1e-9) continue;
      node.theta = next;
      at = std::move(there);
      better = true;
      break;
    }
    if (!better || largest < 1e-6) break;
  }
  node.information = at.normal.information;
  node.covariance = inverse(node.information);
  node.log_determinant = log_determinant(node.information);
  node.log_weight = at.log_density + log_scale_prior(scale, prior) - 0.5 * node.log_determinant;
  return node;
}

}  // namespace

double SwingPrior::sigma(double slope) const {
  const double placed = station_sigma_deg / std::max(1.0 + slope, 0.3);
  return std::sqrt(reading_sigma_deg * reading_sigma_deg + placed * placed);
}

DeviationCurve curve_of(DeviationForm form, const SwingParameters& theta) {
  return {form, {theta[0], theta[1], theta[2], theta[3], theta[4]}};
}

SwingRowView view_row(const SwingRow& row, DeviationForm form, const SwingParameters& theta,
                      const SwingPrior& prior) {
  const DeviationCurve curve = curve_of(form, theta);
  const double shown = row.station_deg - row.turn * theta[5];
  const double expected = indicated_on(curve, shown, shown - theta[0]);
  const auto value = curve.at(expected);
  const double along = std::max(1.0 + value.slope, 0.3);
  SwingRowView view;
  view.left_deg = wrap_180_deg(row.indicated_deg - expected);
  view.sigma_deg = prior.sigma(value.slope);
  for (std::size_t j = 0; j < 5; ++j) view.gradient[j] = -value.per_coefficient[j] / along;
  view.gradient[5] = -row.turn / along;
  return view;
}

double swing_log_density(const std::vector<SwingRow>& rows, DeviationForm form,
                         const SwingPrior& prior, const SwingParameters& theta, double scale) {
  double sum = log_scale_prior(scale, prior);
  for (const SwingRow& row : rows) {
    const SwingRowView view = view_row(row, form, theta, prior);
    sum += rounded_likelihood(view.left_deg, scale * view.sigma_deg, prior.rounding_deg).log;
  }
  for (std::size_t i = 0; i < kSwingParameters; ++i) {
    sum -= 0.5 * theta[i] * theta[i] / (prior.sd[i] * prior.sd[i]);
  }
  return sum;
}

SwingPosterior fit_swing_rows(const std::vector<SwingRow>& rows, DeviationForm form,
                              const SwingPrior& prior, const SwingParameters& start) {
  SwingPosterior out;
  out.form = form;
  SwingNode middle = fit_node(rows, form, prior, start, scale_of(kMiddle));
  double best = middle.log_weight;
  std::vector<SwingNode> below;
  std::vector<SwingNode> above;
  for (const int way : {-1, 1}) {
    SwingParameters at = middle.theta;
    double last = middle.log_weight;
    for (int k = kMiddle + way; k >= 0 && k < kScales; k += way) {
      SwingNode node = fit_node(rows, form, prior, at, scale_of(k));
      at = node.theta;
      const bool falling = node.log_weight < last;
      last = node.log_weight;
      best = std::max(best, last);
      (way < 0 ? below : above).push_back(std::move(node));
      if (falling && last < best - kUnlikely) break;
    }
  }
  std::reverse(below.begin(), below.end());
  out.nodes = std::move(below);
  out.nodes.push_back(std::move(middle));
  out.nodes.insert(out.nodes.end(), above.begin(), above.end());
  std::erase_if(out.nodes, [&](const SwingNode& node) {
    return !(node.log_weight >= best - kUnlikely) || node.covariance.size == 0;
  });
  return out;
}

const SwingNode& SwingPosterior::likeliest() const {
  return *std::max_element(nodes.begin(), nodes.end(), [](const SwingNode& a, const SwingNode& b) {
    return a.log_weight < b.log_weight;
  });
}

double SwingPosterior::mean_scale() const {
  const double best = likeliest().log_weight;
  double sum = 0.0;
  double weighted = 0.0;
  for (const SwingNode& node : nodes) {
    const double weight = std::exp(node.log_weight - best);
    sum += weight;
    weighted += weight * node.scale;
  }
  return weighted / sum;
}

}  // namespace qn
