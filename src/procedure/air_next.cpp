// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/air_fit_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr int kCoarse_deg = 15, kFine_deg = 5;
constexpr double kNextLeg_hours = 0.05;  // three minutes: a leg and the turn to it

SquareMatrix with_pair(const AirFit& fit, const AirNode& node, double first, double second,
                       double last_hours) {
  SquareMatrix information = node.information;
  add_air_information(information, first, last_hours + kNextLeg_hours, fit, node);
  add_air_information(information, second, last_hours + 2.0 * kNextLeg_hours, fit, node);
  return inverse(information);
}

}  // namespace

void add_air_information(SquareMatrix& information, double indicated_deg, double hours,
                         const AirFit& fit, const AirNode& node) {
  double tas = node.theta[kAirSpeed];
  AirRow row;
  row.indicated_deg = indicated_deg;
  row.hours = hours;
  if (fit.own_airspeeds) {
    double sum = 0.0;
    for (const AirRow& r : fit.rows) sum += *r.tas_kt;
    row.tas_kt = sum / static_cast<double>(fit.rows.size());
    tas = *row.tas_kt - node.theta[kAirSpeed];
  }
  const auto ground =
      ground_velocity(indicated_deg, tas, hours, fit.posterior.form, node.theta, fit.prior);
  row.groundspeed_kt = std::hypot(ground[0], ground[1]);
  row.track_deg = wrap_360_deg(std::atan2(ground[0], ground[1]) * 180.0 / std::numbers::pi);
  AirNuisance at{indicated_deg, tas};
  const AirLegView view =
      view_air_leg(row, fit.posterior.form, node.theta, fit.prior, node.scales, at);
  for (std::size_t k = 0; k < view.rows; ++k) {
    for (std::size_t i = 0; i < kAirParameters; ++i) {
      for (std::size_t j = 0; j < kAirParameters; ++j) {
        information(i, j) += view.gradient[k][i] * view.gradient[k][j];
      }
    }
  }
}

double worst_curve_sigma(const SquareMatrix& covariance) {
  if (covariance.size == 0) return 1e6;
  double most = 0.0;
  for (int z = 0; z < 360; z += 15) {
    const double a = z * std::numbers::pi / 180.0;
    const std::array<double, 5> c = {1.0, std::sin(a), std::cos(a), std::sin(2 * a),
                                     std::cos(2 * a)};
    double sum = 0.0;
    for (std::size_t i = 0; i < 5; ++i) {
      for (std::size_t j = 0; j < 5; ++j) {
        sum += c[i] * c[j] * covariance(kAirA + i, kAirA + j);
      }
    }
    most = std::max(most, sum);
  }
  return std::sqrt(most);
}

void fill_air_next(AirSolution& out, const AirFit& fit) {
  const AirNode& node = fit.posterior.likeliest();
  double last = 0.0;
  for (const AirRow& r : fit.rows) last = std::max(last, r.hours);
  out.now_worst_sigma_deg = worst_curve_sigma(node.covariance);
  double best = 1e9;
  std::array<double, 2> pair{};
  const auto try_pair = [&](double a, double b) {
    const double sigma = worst_curve_sigma(with_pair(fit, node, a, b, last));
    // A hair's breadth: equal designs are told apart by their order, not by rounding.
    if (sigma < best * (1.0 - 1e-9)) {
      best = sigma;
      pair = {a, b};
    }
  };
  for (int a = 0; a < 360; a += kCoarse_deg) {
    for (int b = a + kCoarse_deg; b < 360; b += kCoarse_deg) try_pair(a, b);
  }
  const auto coarse = pair;
  for (int a = -2; a <= 2; ++a) {
    for (int b = -2; b <= 2; ++b) try_pair(coarse[0] + a * kFine_deg, coarse[1] + b * kFine_deg);
  }
  out.next_legs_deg = {wrap_360_deg(pair[0]), wrap_360_deg(pair[1])};
  out.next_worst_sigma_deg = best;
}

}  // namespace qn
