// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cmath>
#include <map>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_mark_error_internal.h"

namespace qn {
namespace {

constexpr std::uint64_t kMarkSeed = 20261127;
constexpr double kNormal95 = 1.959964;

using MarkWays = std::array<double, kSwingParameters>;

/// How the coefficients follow an error of each reading's station: (X'X + P)^-1 X'.
std::vector<MarkWays> gains_of(const SwingCompass& c, const CompassFit& fit,
                               const std::vector<SwingReading>& readings) {
  std::vector<MarkWays> ways(readings.size(), MarkWays{});
  NormalEquations equations{kSwingParameters};
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (!c.observed[i].used) continue;
    const auto per = c.curve.at(readings[i].indicated_deg).per_coefficient;
    for (std::size_t j = 0; j < 5; ++j) ways[i][j] = per[j];
    ways[i][5] = fit.rows[i].turn;
    equations.add_row({ways[i].begin(), ways[i].end()}, 0.0, 1.0);
  }
  const double scatter = fit.prior.sigma(0.0);
  for (std::size_t j = 0; j < kSwingParameters; ++j) {
    const double believed = scatter / fit.prior.sd[j];
    equations.information(j, j) += believed * believed;
  }
  const SquareMatrix back = inverse(equations.information);
  std::vector<MarkWays> out(readings.size(), MarkWays{});
  for (std::size_t i = 0; back.size > 0 && i < readings.size(); ++i) {
    for (std::size_t j = 0; j < kSwingParameters; ++j) {
      for (std::size_t k = 0; k < kSwingParameters; ++k) out[i][j] += back(j, k) * ways[i][k];
    }
  }
  return out;
}

/// Covariance of A to E from the errors of the marks, without what the scatter holds of them.
SquareMatrix mark_covariance(const SwingCompass& c, const CompassFit& fit,
                             const std::vector<SwingReading>& readings) {
  struct Mark {
    MarkWays gain{};
    double visits = 0.0, sigma_deg = 0.0;
  };
  const std::vector<MarkWays> gains = gains_of(c, fit, readings);
  std::map<double, Mark> marks;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (!c.observed[i].used || !(readings[i].mark_sigma_deg > 0.0)) continue;
    Mark& mark = marks[readings[i].station_deg];
    for (std::size_t j = 0; j < kSwingParameters; ++j) mark.gain[j] += gains[i][j];
    mark.visits += 1.0;
    mark.sigma_deg = readings[i].mark_sigma_deg;
  }
  SquareMatrix out{5};
  for (const auto& [station_deg, mark] : marks) {
    const double more = mark.sigma_deg * mark.sigma_deg * (1.0 - 1.0 / mark.visits);
    for (std::size_t i = 0; i < 5; ++i) {
      for (std::size_t j = 0; j < 5; ++j) out(i, j) += more * mark.gain[i] * mark.gain[j];
    }
  }
  return out;
}

/// A band about `at`, wider by an error of that variance.
void widen(double at, double variance, double& lo, double& hi) {
  lo = at - std::hypot(at - lo, kNormal95 * std::sqrt(variance));
  hi = at + std::hypot(hi - at, kNormal95 * std::sqrt(variance));
}

}  // namespace

void add_mark_errors(SwingCompass& c, const CompassFit& fit,
                     const std::vector<SwingReading>& readings) {
  const SquareMatrix more = mark_covariance(c, fit, readings);
  double total = 0.0;
  for (std::size_t j = 0; j < 5; ++j) total += more(j, j);
  if (total <= 0.0) return;
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) c.covariance_deg2[i][j] += more(i, j);
    c.sigma_deg[i] = std::sqrt(c.covariance_deg2[i][i]);
    widen(c.curve.coefficients_deg[i], more(i, i), c.band_95_deg[i].first, c.band_95_deg[i].second);
  }
  const std::vector<double> errors = gaussian_draws(more, c.draws_deg.size() / 5, kMarkSeed);
  for (std::size_t d = 0; d < c.draws_deg.size(); ++d) c.draws_deg[d] += errors[d];
  const SwingShape shape = peak_of(c.curve, c.draws_deg);
  c.worst_95_deg = shape.worst_95_deg;
  for (SwingPoint& point : c.points) {
    const auto per = c.curve.at(point.indicated_deg).per_coefficient;
    double variance = 0.0;
    for (std::size_t i = 0; i < 5; ++i) {
      for (std::size_t j = 0; j < 5; ++j) variance += per[i] * more(i, j) * per[j];
    }
    widen(point.deviation_deg, variance, point.lo_deg, point.hi_deg);
  }
}

}  // namespace qn
