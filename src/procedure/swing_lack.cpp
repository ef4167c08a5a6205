// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "estimation/f_tail.h"
#include "estimation/normal_equations.h"
#include "procedure/swing_compass_internal.h"
#include "vocab/angle.h"

namespace qn {
namespace {

constexpr std::size_t kHigher = 4;  // sin 3z, cos 3z, sin 4z, cos 4z
// Rounding this coarse against the scatter leaves residuals that no F law describes.
constexpr double kCoarse = 3.0;

// What is left after a least-squares fit of the residuals on `columns` columns.
double squares_left(const std::vector<std::vector<double>>& columns,
                    const std::vector<double>& left, std::size_t parameters) {
  NormalEquations equations{parameters};
  for (std::size_t i = 0; i < left.size(); ++i) {
    equations.add_row(
        {columns[i].begin(), columns[i].begin() + static_cast<std::ptrdiff_t>(parameters)},
        -left[i], 1.0);
  }
  const auto step = solve_step(equations, 0.0);
  double sum = 0.0;
  for (std::size_t i = 0; i < left.size(); ++i) {
    double r = left[i];
    for (std::size_t j = 0; j < parameters; ++j) r -= columns[i][j] * step[j];
    sum += r * r;
  }
  return sum;
}

}  // namespace

std::optional<double> swing_lack_of_fit(const CompassFit& fit, const SwingParameters& theta,
                                        const SwingTilt& tilt,
                                        const std::vector<std::size_t>& left_out) {
  if (fit.leaning) return std::nullopt;
  if (fit.prior.rounding_deg >
      kCoarse * fit.posteriors.front().mean_scale() * fit.prior.sigma(0.0)) {
    return std::nullopt;
  }
  const std::size_t own = fit.both_turns ? 6 : 5;
  std::vector<std::vector<double>> columns;
  std::vector<double> left;
  std::map<std::pair<double, double>, std::size_t> places;
  for (std::size_t i = 0; i < fit.rows.size(); ++i) {
    if (std::find(left_out.begin(), left_out.end(), i) != left_out.end()) continue;
    const SwingRowView view = view_row(fit.rows[i], fit.form, theta, fit.prior, std::nullopt, tilt);
    const double z = Angle::degrees(fit.rows[i].indicated_deg - view.left_deg).in_rad();
    std::vector<double> row(view.gradient.begin(),
                            view.gradient.begin() + static_cast<std::ptrdiff_t>(own));
    row.insert(row.end(), {std::sin(3 * z), std::cos(3 * z), std::sin(4 * z), std::cos(4 * z)});
    columns.push_back(std::move(row));
    left.push_back(view.left_deg);
    ++places[{fit.rows[i].station_deg, fit.rows[i].turn}];
  }
  const std::size_t n = left.size();
  // On 8 even headings sin 4z and cos 4z cannot both be had: two left over, and distinct places.
  if (places.size() < own + kHigher || n < own + kHigher + 2) return std::nullopt;
  const double without = squares_left(columns, left, own);
  const double with = squares_left(columns, left, own + kHigher);
  const double dof = static_cast<double>(n - own - kHigher);
  if (!(with > 1e-12)) return std::nullopt;
  return f_tail(std::max(without - with, 0.0) / kHigher / (with / dof), kHigher, dof);
}

}  // namespace qn
