// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "estimation/peak_band.h"
#include "procedure/air_fit_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr std::size_t kAirDraws = 800;
constexpr unsigned kAirSeed = 20260715;
constexpr int kAirStep_deg = 5;
// A coefficient whose sigma is no smaller than this share of what was believed before is not told.
constexpr double kAirTold = 0.6;
constexpr double kHighPeak = 0.90;
constexpr double kAlongAxis = 0.95;  // of D or E in their combination: it is that one alone

struct WeighedNode {
  const AirNode* node;
  double share;
};

// Every size of the noise under every opinion on wrong readings, with its probability.
std::vector<WeighedNode> weighed_nodes(const AirFit& fit) {
  std::vector<WeighedNode> out;
  for (const AirOpinion& opinion : fit.opinions) {
    const double best = opinion.posterior.likeliest().log_weight;
    double total = 0.0;
    for (const AirNode& n : opinion.posterior.nodes) total += std::exp(n.log_weight - best);
    for (const AirNode& n : opinion.posterior.nodes) {
      out.push_back({&n, opinion.probability * std::exp(n.log_weight - best) / total});
    }
  }
  return out;
}

std::vector<AirParameters> draws_of(const AirFit& fit) {
  std::vector<AirParameters> out;
  double owed = 0.0;
  unsigned seed = kAirSeed;
  for (const WeighedNode& from : weighed_nodes(fit)) {
    owed += from.share * static_cast<double>(kAirDraws);
    const double missing = owed - static_cast<double>(out.size());
    const auto pairs = static_cast<std::size_t>(std::max(std::lround(0.5 * missing), 0L));
    ++seed;
    if (pairs == 0) continue;
    const auto draws = gaussian_draws(from.node->covariance, 2 * pairs, seed - 1);
    for (std::size_t d = 0; d < 2 * pairs; ++d) {
      AirParameters x = from.node->theta;
      for (std::size_t j = 0; j < kAirParameters; ++j) x[j] += draws[d * kAirParameters + j];
      out.push_back(x);
    }
  }
  return out;
}

std::pair<double, double> air_95(std::vector<double> values) {
  return {quantile(values, 0.025), quantile(values, 0.975)};
}

struct AirMoments {
  AirParameters mean{};
  std::array<AirParameters, kAirParameters> covariance{};
  double sigma(std::size_t j) const { return std::sqrt(covariance[j][j]); }
};

AirMoments moments_of(const std::vector<AirParameters>& draws) {
  AirMoments out;
  const double n = static_cast<double>(draws.size());
  for (const AirParameters& d : draws) {
    for (std::size_t j = 0; j < kAirParameters; ++j) out.mean[j] += d[j] / n;
  }
  for (const AirParameters& d : draws) {
    for (std::size_t i = 0; i < kAirParameters; ++i) {
      for (std::size_t j = 0; j < kAirParameters; ++j) {
        out.covariance[i][j] += (d[i] - out.mean[i]) * (d[j] - out.mean[j]) / n;
      }
    }
  }
  return out;
}

std::vector<double> column_of(const std::vector<AirParameters>& draws, std::size_t j) {
  std::vector<double> out;
  for (const AirParameters& d : draws) out.push_back(d[j]);
  return out;
}

void fill_wind(AirSolution& out, const AirFit& fit, const AirMoments& m,
               const std::vector<AirParameters>& draws) {
  for (std::size_t i = 0; i < 2; ++i) {
    out.wind_to_kt[i] = m.mean[i];
    out.wind_sigma_kt[i] = m.sigma(i);
    out.wind_95_kt[i] = air_95(column_of(draws, i));
    out.wind_change_sigma[i] = m.sigma(kAirRate + i);
  }
  out.wind_kt = std::hypot(m.mean[0], m.mean[1]);
  out.wind_from_deg = wrap_360_deg(std::atan2(-m.mean[0], -m.mean[1]) * 180.0 / std::numbers::pi);
  out.tas_kt = mean_airspeed(fit, m.mean[kAirSpeed]);
  out.tas_sigma_kt = m.sigma(kAirSpeed);
  const auto band = air_95(column_of(draws, kAirSpeed));
  const double ends[2] = {mean_airspeed(fit, band.first), mean_airspeed(fit, band.second)};
  out.tas_95_kt = {std::min(ends[0], ends[1]), std::max(ends[0], ends[1])};
  if (m.sigma(kAirRate) < kAirTold * fit.prior.sd[kAirRate] &&
      m.sigma(kAirRate + 1) < kAirTold * fit.prior.sd[kAirRate + 1]) {
    out.wind_change_kt_per_hour = {m.mean[kAirRate], m.mean[kAirRate + 1]};
  }
}

// The direction in the plane of D and E that is known best, each in units of what was believed.
void fill_combination(AirSolution& out, const AirFit& fit) {
  if (out.supported[3] && out.supported[4]) return;
  const double sd = fit.prior.sd[6];
  const double dd = out.covariance_deg2[3][3];
  const double de = out.covariance_deg2[3][4];
  const double ee = out.covariance_deg2[4][4];
  const double turn = 0.5 * std::atan2(2.0 * de, dd - ee) + 0.5 * std::numbers::pi;
  AirCombination best;
  best.of_d = std::cos(turn);
  best.of_e = std::sin(turn);
  if (best.of_e < 0.0) {
    best.of_d = -best.of_d;
    best.of_e = -best.of_e;
  }
  best.sigma_deg = std::sqrt(std::max(
      best.of_d * best.of_d * dd + 2.0 * best.of_d * best.of_e * de + best.of_e * best.of_e * ee,
      0.0));
  best.value_deg =
      best.of_d * out.curve.coefficients_deg[3] + best.of_e * out.curve.coefficients_deg[4];
  if (best.sigma_deg >= kAirTold * sd) return;
  out.combination = best;
  // Off the axes each of the two rests on what was believed of the other.
  out.supported[3] = out.supported[3] && std::fabs(best.of_d) > kAlongAxis;
  out.supported[4] = out.supported[4] && std::fabs(best.of_e) > kAlongAxis;
}

void fill_air_coefficients(AirSolution& out, const AirFit& fit, const AirMoments& m,
                           const std::vector<AirParameters>& draws) {
  out.curve.form = fit.posterior.form;
  for (std::size_t i = 0; i < 5; ++i) {
    out.curve.coefficients_deg[i] = m.mean[kAirA + i];
    out.band_95_deg[i] = air_95(column_of(draws, kAirA + i));
    out.sigma_deg[i] = m.sigma(kAirA + i);
    for (std::size_t j = 0; j < 5; ++j) {
      out.covariance_deg2[i][j] = m.covariance[kAirA + i][kAirA + j];
    }
    const double before =
        std::hypot(fit.prior.sd[kAirA + i], i == 0 ? fit.a_outside_sigma_deg : 0.0);
    out.supported[i] = fit.headings && out.sigma_deg[i] < kAirTold * before;
  }
  if (!fit.variation_known) out.supported[0] = false;
  if (fit.headings) fill_combination(out, fit);
}

// Test inversion keeps the shape of the curve; where bands are wide against it, its upper end alone
// was passed in 9 % of flights. The curve as it may be has a peak that is biased upward; its 90th
// percentile bounds that case.
double high_air_peak(const std::vector<double>& curve, const std::vector<double>& off) {
  std::vector<double> peaks(off.size() / curve.size());
  for (std::size_t d = 0; d < peaks.size(); ++d) {
    for (std::size_t z = 0; z < curve.size(); ++z) {
      peaks[d] = std::max(peaks[d], std::fabs(curve[z] + off[d * curve.size() + z]));
    }
  }
  return quantile(peaks, kHighPeak);
}

void fill_air_curve(AirSolution& out, const std::vector<AirParameters>& draws) {
  std::vector<double> curve;
  std::vector<SwingCoefficients> ways;
  for (int z = 0; z < 360; z += kAirStep_deg) {
    const auto value = out.curve.at(z);
    curve.push_back(value.deviation_deg);
    ways.push_back(value.per_coefficient);
    if (std::fabs(value.deviation_deg) > out.worst_deviation_deg) {
      out.worst_deviation_deg = std::fabs(value.deviation_deg);
      out.worst_at_deg = z;
    }
  }
  std::vector<double> off(draws.size() * curve.size());
  for (std::size_t d = 0; d < draws.size(); ++d) {
    for (std::size_t z = 0; z < curve.size(); ++z) {
      double sum = 0.0;
      for (std::size_t j = 0; j < 5; ++j) {
        sum += ways[z][j] * (draws[d][kAirA + j] - out.curve.coefficients_deg[j]);
      }
      off[d * curve.size() + z] = sum;
    }
  }
  out.worst_known = true;
  out.worst_95_deg = peak_band_95(curve, off);
  out.worst_95_deg.second = std::max(out.worst_95_deg.second, high_air_peak(curve, off));

  for (std::size_t z = 0; z < curve.size(); z += 10 / kAirStep_deg) {
    std::vector<double> values;
    for (std::size_t d = 0; d < draws.size(); ++d) values.push_back(off[d * curve.size() + z]);
    const auto band = air_95(std::move(values));
    out.points.push_back({static_cast<double>(z) * kAirStep_deg, curve[z], curve[z] + band.first,
                          curve[z] + band.second});
  }
}

void fill_air_legs(AirSolution& out, const AirFit& fit, const AirMoments& m) {
  for (std::size_t i = 0; i < fit.rows.size(); ++i) {
    const AirRow& r = fit.rows[i];
    AirLegResult& leg = out.legs[fit.leg_of_row[i]];
    if (!r.track_deg) continue;
    const auto [east, north] = air_velocity(r, m.mean);
    const double heading = std::atan2(east, north) * 180.0 / std::numbers::pi;
    const double common =
        r.tas_kt ? *r.tas_kt - m.mean[kAirSpeed] : mean_airspeed(fit, m.mean[kAirSpeed]);
    leg.along_kt = std::hypot(east, north) - common;
    leg.true_heading_deg = wrap_360_deg(heading);
    if (!r.indicated_deg) continue;
    const double observed = heading - fit.prior.track_minus_heading_deg - *r.indicated_deg;
    leg.residual_deg = wrap_180_deg(observed - out.curve.deviation_deg(*r.indicated_deg));
  }
}

}  // namespace

void fill_air_bands(AirSolution& out, const AirFit& fit) {
  std::vector<AirParameters> draws = draws_of(fit);
  SquareMatrix unit{1};
  unit(0, 0) = fit.a_outside_sigma_deg * fit.a_outside_sigma_deg;
  // Sideslip and variation know nothing of the legs: every second of twice as many draws, so that
  // the opposite pairs of the one do not meet those of the other.
  const auto outside = gaussian_draws(unit, 2 * draws.size(), kAirSeed + 1000);
  double mean = 0.0;
  for (std::size_t d = 0; d < draws.size(); ++d) mean += outside[2 * d];
  mean /= static_cast<double>(draws.size());
  for (std::size_t d = 0; d < draws.size(); ++d) draws[d][kAirA] += outside[2 * d] - mean;
  const AirMoments m = moments_of(draws);
  fill_wind(out, fit, m, draws);
  fill_air_coefficients(out, fit, m, draws);
  if (fit.headings && fit.variation_known) fill_air_curve(out, draws);
  fill_air_legs(out, fit, m);
  out.heading_noise_deg = fit.posterior.likeliest().scales.heading * fit.prior.heading_sigma_deg;
  out.velocity_noise = fit.posterior.likeliest().scales.velocity;
}

}  // namespace qn
