// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/f_tail.h"
#include "procedure/air_fit_internal.h"

namespace qn {
namespace {

constexpr double kSurprise = 0.002;  // of the most surprising leg, after counting the legs
constexpr double kWorthLooking = 3.0;

/// How far one leg lies from what a fit foretells for it: r'(1 + J V J')^-1 r and its rows.
struct AirDistance {
  double squared = 0.0;
  std::size_t rows = 0;
};

AirDistance distance_of(const AirRow& row, DeviationForm form, const AirPrior& prior,
                        const AirNode& node) {
  AirNuisance at{row.indicated_deg.value_or(0.0),
                 row.tas_kt ? *row.tas_kt - node.theta[kAirSpeed] : node.theta[kAirSpeed]};
  const AirLegView view = view_air_leg(row, form, node.theta, prior, node.scales, at);
  AirDistance out;
  out.rows = view.rows;
  if (view.rows == 0) return out;
  std::vector<double> jacobian;
  for (std::size_t k = 0; k < view.rows; ++k) {
    jacobian.insert(jacobian.end(), view.gradient[k].begin(), view.gradient[k].end());
  }
  SquareMatrix spread = propagate(jacobian, view.rows, node.covariance);
  for (std::size_t k = 0; k < view.rows; ++k) spread(k, k) += 1.0;
  const SquareMatrix weight = inverse(spread);
  if (weight.size == 0) return out;
  for (std::size_t i = 0; i < view.rows; ++i) {
    for (std::size_t j = 0; j < view.rows; ++j) {
      out.squared += view.residual[i] * weight(i, j) * view.residual[j];
    }
  }
  return out;
}

}  // namespace

void fill_air_doubt(AirSolution& out, const AirFit& fit) {
  const AirNode& node = fit.posterior.likeliest();
  if (node.covariance.size == 0 || fit.rows.size() < 4) return;
  double smallest = 1.0;
  std::size_t which = 0;
  for (std::size_t i = 0; i < fit.rows.size(); ++i) {
    AirNuisance at{
        fit.rows[i].indicated_deg.value_or(0.0),
        fit.rows[i].tas_kt ? *fit.rows[i].tas_kt - node.theta[kAirSpeed] : node.theta[kAirSpeed]};
    const AirLegView seen =
        view_air_leg(fit.rows[i], fit.posterior.form, node.theta, fit.prior, {1.0, 1.0}, at);
    double inside = 0.0;
    for (std::size_t k = 0; k < seen.rows; ++k) inside += seen.residual[k] * seen.residual[k];
    if (inside < kWorthLooking) continue;
    std::vector<AirRow> others = fit.rows;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
    const AirPosterior without = fit_air_rows(others, fit.posterior.form, fit.prior, node.theta);
    const AirNode& then = without.likeliest();
    if (then.covariance.size == 0) continue;
    const AirDistance far = distance_of(fit.rows[i], fit.posterior.form, fit.prior, then);
    if (far.rows == 0) continue;
    const double rows = static_cast<double>(far.rows);
    // What the sizes of the noise rest on: the assumption, and about one reading a leg left over.
    const double dof =
        fit.prior.noise_dof + std::max(0.0, static_cast<double>(others.size()) - 4.0);
    const double p = f_tail(far.squared / rows, rows, dof);
    if (p < smallest) {
      smallest = p;
      which = i;
    }
  }
  if (smallest * static_cast<double>(fit.rows.size()) < kSurprise) {
    out.doubtful_leg = fit.leg_of_row[which];
  }
}

}  // namespace qn
