// SPDX-License-Identifier: Apache-2.0
#include "accuracy/air_bound.h"

#include <Eigen/Dense>
#include <cmath>
#include <complex>

namespace qn::accuracy {
namespace {

constexpr double kRad = 0.017453292519943295;
constexpr int kGlobal = 10;  // wind 2, airspeed, A..E, change of wind 2

/// Indicated heading, track, speed of one leg.
Eigen::Vector3d readings(const Eigen::VectorXd& x, double magnetic, double hours, double off,
                         double tas_off, std::complex<double> gust) {
  const std::array<double, 5> k = {x[3], x[4], x[5], x[6], x[7]};
  // North and east as one complex number.
  const std::complex<double> ground =
      std::polar(x[2] + tas_off, (magnetic + off) * kRad) +
      std::complex<double>{x[1] + x[9] * hours, x[0] + x[8] * hours} + gust;
  return {simulate::shown_on(k, magnetic), std::arg(ground) / kRad, std::abs(ground)};
}

Eigen::Vector3d apart(const Eigen::Vector3d& a, const Eigen::Vector3d& b, double by) {
  return {std::remainder(a[0] - b[0], 360.0) / by, std::remainder(a[1] - b[1], 360.0) / by,
          (a[2] - b[2]) / by};
}

}  // namespace

AirBound air_bound(const simulate::FlightTruth& t, const std::vector<double>& magnetic_deg,
                   double leg_s, double reading_step) {
  const int legs = static_cast<int>(magnetic_deg.size());
  Eigen::VectorXd x(kGlobal);
  x << t.wind_kt[0], t.wind_kt[1], t.tas_kt, t.coefficients_deg[0], t.coefficients_deg[1],
      t.coefficients_deg[2], t.coefficients_deg[3], t.coefficients_deg[4],
      t.wind_change_kt_per_hour[0], t.wind_change_kt_per_hour[1];
  Eigen::MatrixXd information = Eigen::MatrixXd::Zero(kGlobal + legs, kGlobal + legs);
  const double prior[kGlobal] = {0, 0, 0, 20, 30, 30, 3, 3, 6, 6};
  for (int j = 0; j < kGlobal; ++j) {
    if (prior[j] > 0.0) information(j, j) += 1.0 / (prior[j] * prior[j]);
  }
  const double off = t.variation_deg + t.sideslip_deg;
  constexpr double kStep = 1e-3;
  for (int i = 0; i < legs; ++i) {
    const double m = magnetic_deg[static_cast<std::size_t>(i)];
    const double hours = (i - 0.5 * (legs - 1)) * leg_s / 3600.0;
    const auto at = [&](const Eigen::VectorXd& y, double heading, double tas,
                        std::complex<double> gust) {
      return readings(y, heading, hours, off, tas, gust);
    };
    Eigen::MatrixXd j = Eigen::MatrixXd::Zero(3, kGlobal + legs);
    for (int k = 0; k < kGlobal; ++k) {
      Eigen::VectorXd up = x, down = x;
      up[k] += kStep;
      down[k] -= kStep;
      j.col(k) = apart(at(up, m, 0, 0), at(down, m, 0, 0), 2 * kStep);
    }
    j.col(kGlobal + i) = apart(at(x, m + kStep, 0, 0), at(x, m - kStep, 0, 0), 2 * kStep);
    const Eigen::Vector3d by_tas = apart(at(x, m, kStep, 0), at(x, m, -kStep, 0), 2 * kStep);
    const Eigen::Vector3d by_north = apart(at(x, m, 0, kStep), at(x, m, 0, -kStep), 2 * kStep);
    const Eigen::Vector3d by_east =
        apart(at(x, m, 0, {0, kStep}), at(x, m, 0, {0, -kStep}), 2 * kStep);
    const double speed = at(x, m, 0, 0)[2];
    const auto square = [](double v) { return v * v; };
    Eigen::Matrix3d c = Eigen::Matrix3d::Zero();
    c(0, 0) = square(t.heading_error_deg) + square(t.display_step_deg) / 12.0;
    c(1, 1) = square(reading_step) / 12.0 + square(t.gps_error_kt / speed / kRad);
    c(2, 2) = square(reading_step) / 12.0 + square(t.gps_error_kt);
    c += square(t.airspeed_wander_kt) * by_tas * by_tas.transpose();
    c += square(t.wind_wander_kt) *
         (by_north * by_north.transpose() + by_east * by_east.transpose());
    information += j.transpose() * c.inverse() * j;
  }
  const Eigen::MatrixXd v = information.inverse();
  AirBound out;
  out.wind_kt = {std::sqrt(v(0, 0)), std::sqrt(v(1, 1))};
  out.tas_kt = std::sqrt(v(2, 2));
  for (int k = 0; k < 5; ++k) {
    // Constant sideslip 1 degree and variation 0.5, which nothing in the flight shows.
    const double outside = k == 0 ? 1.0 + 0.25 : 0.0;
    out.coefficients_deg[static_cast<std::size_t>(k)] = std::sqrt(v(3 + k, 3 + k) + outside);
  }
  return out;
}

AirBound air_log_bound(simulate::FlightTruth truth, const std::vector<double>& magnetic_deg,
                       double leg_s) {
  constexpr double kMemory_s = 20.0, kSettle_s = 10.0, kTurn_s = 30.0;
  const double mean_s = leg_s - kSettle_s;
  // Of what wanders with a memory, the mean of a leg keeps this share of the variance.
  const double memory = kMemory_s / mean_s;
  const double kept = std::sqrt(2.0 * memory * (1.0 - memory * (1.0 - std::exp(-1.0 / memory))));
  truth.airspeed_wander_kt *= kept;
  truth.wind_wander_kt *= kept;
  truth.gps_error_kt /= std::sqrt(mean_s);
  truth.display_step_deg = 0.0;  // its own wander goes over the steps of the display
  return air_bound(truth, magnetic_deg, leg_s + kTurn_s, 0.0);
}

}  // namespace qn::accuracy
