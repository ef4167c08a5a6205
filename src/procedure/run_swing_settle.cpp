// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "estimation/normal_equations.h"
#include "procedure/run_swing.h"
#include "procedure/swing_compass_internal.h"

namespace qn::run {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double k95 = 1.959964;  // standard normal quantile of 0.975

std::vector<double> row_at(double z_deg) {
  const double z = z_deg * kDegree;
  return {1.0, std::sin(z), std::cos(z), std::sin(2.0 * z), std::cos(2.0 * z)};
}

double widest(const SquareMatrix& covariance, double further_variance) {
  double most = 0.0;
  for (int z = 0; z < 360; z += 10) {
    const auto g = row_at(z);
    double variance = further_variance;
    for (std::size_t i = 0; i < 5; ++i) {
      for (std::size_t j = 0; j < 5; ++j) variance += g[i] * covariance(i, j) * g[j];
    }
    most = std::max(most, variance);
  }
  return k95 * std::sqrt(most);
}

/// The covariance after one more reading there (the update of Sherman and Morrison).
SquareMatrix with_reading(const SquareMatrix& before, double z_deg, double variance) {
  const auto g = row_at(z_deg);
  std::vector<double> cg(5, 0.0);
  double total = variance;
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) cg[i] += before(i, j) * g[j];
    total += g[i] * cg[i];
  }
  SquareMatrix after = before;
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) after(i, j) -= cg[i] * cg[j] / total;
  }
  return after;
}

/// The one reading that narrows the curve most.
double best_of(const SquareMatrix& now, double lasting, double variance,
               const std::vector<double>& candidates_deg) {
  double best = candidates_deg.front(), narrowest = std::numeric_limits<double>::infinity();
  for (const double candidate : candidates_deg) {
    const double width = widest(with_reading(now, candidate, variance), lasting);
    if (width < narrowest) narrowest = width, best = candidate;
  }
  return best;
}

}  // namespace

std::vector<double> settling_stations(const SwingCompass& compass, const SwingOptions& options,
                                      double wanted_deg,
                                      const std::vector<double>& candidates_deg) {
  const SwingSettings settings = settings_of(options);
  SquareMatrix now{5};
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) now(i, j) = compass.covariance_deg2[i][j];
  }
  // North, and the lag of one turn, are in A whatever is read: no station takes them off.
  double lasting = settings.north_sigma_deg * settings.north_sigma_deg;
  if (!compass.hysteresis_deg) {
    lasting += 0.25 * settings.hysteresis_sigma_deg * settings.hysteresis_sigma_deg;
  }
  lasting = std::min(lasting, 0.9 * now(0, 0));
  now(0, 0) -= lasting;
  if (candidates_deg.empty() || widest(now, lasting) <= wanted_deg) return {};
  const double reading =
      std::hypot(settings.prior.sigma(0.0), settings.prior.rounding_deg / std::sqrt(12.0));
  const double variance = std::pow(std::max(reading, compass.noise_deg), 2);
  // The best pair by trying all; further ones one by one.
  std::vector<double> chosen;
  SquareMatrix then = now;
  const auto add = [&](double z_deg) {
    chosen.push_back(z_deg);
    then = with_reading(then, z_deg, variance);
  };
  const auto one = best_of(now, lasting, variance, candidates_deg);
  if (widest(with_reading(now, one, variance), lasting) <= wanted_deg) return {one};
  double narrowest = std::numeric_limits<double>::infinity();
  std::pair<double, double> pair;
  for (const double first : candidates_deg) {
    const SquareMatrix with_first = with_reading(now, first, variance);
    const double second = best_of(with_first, lasting, variance, candidates_deg);
    const double width = widest(with_reading(with_first, second, variance), lasting);
    if (width < narrowest) narrowest = width, pair = {first, second};
  }
  add(pair.first);
  add(pair.second);
  while (widest(then, lasting) > wanted_deg) {
    if (chosen.size() == kMostSettling) return {};
    add(best_of(then, lasting, variance, candidates_deg));
  }
  return chosen;
}

}  // namespace qn::run
