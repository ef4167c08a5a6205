// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/air_fit_internal.h"

namespace qn {
namespace {

// Sizes of the noise tried, as multiples of what the prior says.
constexpr std::array<double, 7> kAirSizes = {0.3, 0.45, 0.67, 1.0, 1.5, 2.25, 3.4};
constexpr std::size_t kAirMiddle = 3;
constexpr double kAirUnlikely = 9.0;
constexpr double kSmallStep = 0.05;

double log_size_prior(double size, double dof) {
  return -dof * std::log(size) - 0.5 * dof / (size * size);
}

struct AirSums {
  NormalEquations normal{kAirParameters};
  double cost = 0.0;             ///< residuals and prior, squared
  double log_determinant = 0.0;  ///< of the legs' covariances
};

AirSums sums_at(const std::vector<AirRow>& rows, DeviationForm form, const AirPrior& prior,
                const AirParameters& theta, const AirScales& scales,
                std::vector<AirNuisance>& nuisances) {
  AirSums out;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const AirLegView view = view_air_leg(rows[i], form, theta, prior, scales, nuisances[i]);
    out.log_determinant += view.log_determinant;
    for (std::size_t k = 0; k < view.rows; ++k) {
      const AirParameters& g = view.gradient[k];
      out.cost += view.residual[k] * view.residual[k];
      for (std::size_t a = 0; a < kAirParameters; ++a) {
        for (std::size_t b = 0; b < kAirParameters; ++b) {
          out.normal.information(a, b) += g[a] * g[b];
        }
        out.normal.gradient[a] -= view.residual[k] * g[a];
      }
    }
  }
  for (std::size_t j = 0; j < kAirParameters; ++j) {
    const double precision = 1.0 / (prior.sd[j] * prior.sd[j]);
    out.normal.information(j, j) += precision;
    out.normal.gradient[j] += precision * theta[j];
    out.cost += precision * theta[j] * theta[j];
  }
  return out;
}

std::vector<AirNuisance> first_guess(const std::vector<AirRow>& rows, const AirParameters& theta) {
  std::vector<AirNuisance> out;
  for (const AirRow& r : rows) {
    out.push_back({r.indicated_deg.value_or(0.0), airspeed_of(r, theta)});
  }
  return out;
}

// A step so long that the linear picture cannot hold is cut: 20 degrees or 30 kt.
double first_shrink(const std::vector<double>& step) {
  double most = 0.0;
  for (std::size_t j = 0; j < kAirParameters; ++j) {
    const double limit = j >= kAirA && j < kAirRate ? 20.0 : 30.0;
    most = std::max(most, std::fabs(step[j]) / limit);
  }
  return most > 1.0 ? 1.0 / most : 1.0;
}

AirNode fit_air_node(const std::vector<AirRow>& rows, DeviationForm form, const AirPrior& prior,
                     const AirParameters& start, const AirScales& scales) {
  AirNode node;
  node.scales = scales;
  node.theta = start;
  auto nuisances = first_guess(rows, start);
  AirSums at = sums_at(rows, form, prior, node.theta, scales, nuisances);
  for (int i = 0; i < 40; ++i) {
    const auto step = solve_step(at.normal, 0.0);
    double shrink = first_shrink(step);
    double largest = 0.0;
    for (const double s : step) largest = std::max(largest, std::fabs(s));
    bool better = false;
    for (int tries = 0; tries < 5; ++tries, shrink *= 0.4) {
      AirParameters next = node.theta;
      for (std::size_t j = 0; j < kAirParameters; ++j) next[j] += shrink * step[j];
      auto moved = nuisances;
      AirSums there = sums_at(rows, form, prior, next, scales, moved);
      // A small step is good whatever the cost says: weights move with the parameters.
      if (!(there.cost <= at.cost + 1e-9) && !(largest < kSmallStep)) continue;
      node.theta = next;
      nuisances = std::move(moved);
      at = std::move(there);
      better = true;
      break;
    }
    if (!better || largest < 1e-10) break;
  }
  node.information = at.normal.information;
  node.covariance = inverse(node.information);
  node.log_weight =
      -0.5 * (at.cost + at.log_determinant) + log_size_prior(scales.heading, prior.noise_dof) +
      log_size_prior(scales.velocity, prior.noise_dof) - 0.5 * log_determinant(node.information);
  return node;
}

}  // namespace

const AirNode& AirPosterior::likeliest() const {
  return *std::max_element(nodes.begin(), nodes.end(), [](const AirNode& a, const AirNode& b) {
    return a.log_weight < b.log_weight;
  });
}

AirPosterior fit_air_rows(const std::vector<AirRow>& rows, DeviationForm form,
                          const AirPrior& prior, const AirParameters& start) {
  AirPosterior out;
  out.form = form;
  const AirNode middle = fit_air_node(rows, form, prior, start, {1.0, 1.0});
  double best = middle.log_weight;
  for (std::size_t a = 0; a < kAirSizes.size(); ++a) {
    AirParameters from = middle.theta;
    for (std::size_t b = 0; b < kAirSizes.size(); ++b) {
      if (a == kAirMiddle && b == kAirMiddle) {
        out.nodes.push_back(middle);
        continue;
      }
      out.nodes.push_back(fit_air_node(rows, form, prior, from, {kAirSizes[a], kAirSizes[b]}));
      from = out.nodes.back().theta;
      best = std::max(best, out.nodes.back().log_weight);
    }
  }
  std::erase_if(out.nodes, [&](const AirNode& node) {
    return !(node.log_weight >= best - kAirUnlikely) || node.covariance.size == 0;
  });
  if (out.nodes.empty()) out.nodes.push_back(middle);
  return out;
}

}  // namespace qn
