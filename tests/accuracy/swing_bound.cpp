// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_bound.h"

#include <Eigen/Dense>
#include <cmath>
#include <numbers>

namespace qn::accuracy {

// Chances of each step by differences of the normal law; their derivative by place in closed form.
double information_of_rounded(double sigma, double step) {
  if (step < 0.2 * sigma) return 1.0 / (sigma * sigma + step * step / 12.0);
  constexpr int kPlaces = 16;
  const auto below = [&](double x) { return 0.5 * std::erfc(-x / sigma / std::numbers::sqrt2); };
  const auto density = [&](double x) {
    const double u = x / sigma;
    return std::exp(-0.5 * u * u) / (sigma * std::sqrt(2.0 * std::numbers::pi));
  };
  double sum = 0.0;
  for (int i = 0; i < kPlaces; ++i) {
    const double place = step * (i + 0.5) / kPlaces;
    const int reach = static_cast<int>(std::ceil(7.0 * sigma / step)) + 1;
    for (int k = -reach; k <= reach; ++k) {
      const double lo = (k - 0.5) * step - place;
      const double hi = (k + 0.5) * step - place;
      const double chance = below(hi) - below(lo);
      if (chance < 1e-14) continue;
      const double slope = density(hi) - density(lo);
      sum += slope * slope / chance;
    }
  }
  return sum / kPlaces;
}

std::array<double, 5> swing_bound(const SwingTrial& trial, std::size_t compass) {
  // A..E, north, lag. Derivatives of the reading by differences, through the simulator's geometry.
  Eigen::Matrix<double, 7, 7> information = Eigen::Matrix<double, 7, 7>::Zero();
  const test::MadeSwing& truth = trial.truths[compass];
  const auto read = [&](const Eigen::Matrix<double, 7, 1>& by, double station, double turn) {
    test::MadeSwing made = truth;
    for (std::size_t j = 0; j < 5; ++j) made.truth[j] += by[static_cast<Eigen::Index>(j)];
    return test::read_on(
        made, station + truth.north_deg + by[5] - 0.5 * turn * (truth.hysteresis_deg + by[6]));
  };
  for (const SwingReading& r : trial.readings) {
    if (r.compass != compass_name(compass)) continue;
    const double turn = r.turn == SwingTurn::clockwise ? 1.0 : -1.0;
    Eigen::Matrix<double, 7, 1> way;
    constexpr double kStep = 1e-4;
    for (Eigen::Index j = 0; j < 7; ++j) {
      Eigen::Matrix<double, 7, 1> by = Eigen::Matrix<double, 7, 1>::Zero();
      by[j] = kStep;
      const double up = read(by, r.station_deg, turn);
      by[j] = -kStep;
      way[j] = (up - read(by, r.station_deg, turn)) / (2.0 * kStep);
    }
    const double sigma = std::hypot(trial.reading_sigma_deg, way[5] * trial.station_sigma_deg);
    information += information_of_rounded(sigma, trial.rounding_deg) * way * way.transpose();
  }
  information(5, 5) += 1.0 / (0.5 * 0.5);
  information(6, 6) += 1.0 / (0.5 * 0.5);
  const Eigen::Matrix<double, 7, 7> covariance = information.inverse();
  std::array<double, 5> out{};
  for (Eigen::Index j = 0; j < 5; ++j) {
    out[static_cast<std::size_t>(j)] = std::sqrt(covariance(j, j));
  }
  return out;
}

}  // namespace qn::accuracy
