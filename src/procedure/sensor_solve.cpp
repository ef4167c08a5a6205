// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>

#include "estimation/gaussian_draws.h"
#include "estimation/noise_fit.h"
#include "procedure/sensor_reject_internal.h"
#include "procedure/sensor_solve_internal.h"

namespace qn::sensor_model {
namespace {

constexpr std::size_t kThinned = 4000;    // samples for the robust start
constexpr std::size_t kNoiseRows = 6000;  // rows the noise is learnt from
constexpr double kGrossSigma = 4.5;       // a good sample is this far off once in 150 000

// Residuals of every sample: distance to the ellipsoid, and dip (NaN where it has no row).
struct Residuals {
  std::vector<double> size, dip;
};

Residuals residuals_of(const Log& log, const Problem& problem, const Parameters& theta,
                       double variance, const ParallelFor& parallel) {
  Residuals out;
  out.size.resize(log.size());
  out.dip.assign(log.attitude == Attitude::unknown ? 0 : log.size(),
                 std::numeric_limits<double>::quiet_NaN());
  constexpr std::size_t kPiece = 4096;
  const std::size_t pieces = (log.size() + kPiece - 1) / kPiece;
  parallel(pieces, [&](std::size_t piece) {
    Rows rows;
    const std::size_t begin = piece * kPiece;
    const std::size_t end = std::min(begin + kPiece, log.size());
    fill_rows(log, problem.layout, theta, variance, begin, end, 1, rows);
    for (std::size_t k = 0; k < rows.size_rows.rows; ++k) {
      out.size[begin + k] = rows.size_rows.residual()[k];
    }
    for (std::size_t k = 0; k < rows.dip_rows.rows; ++k) {
      const bool known = log.attitude == Attitude::level || std::isfinite(log.roll_rad[begin + k]);
      if (known) out.dip[begin + k] = rows.dip_rows.residual()[k];
    }
  });
  return out;
}

// Robust scale about zero of what is finite: 1.4826 times the median size.
double scale_of(const std::vector<double>& values, std::size_t stride) {
  std::vector<double> sizes;
  for (std::size_t k = 0; k < values.size(); k += stride) {
    if (std::isfinite(values[k])) sizes.push_back(std::abs(values[k]));
  }
  return sizes.empty() ? 1.0 : std::max(1.4826 * quantile(sizes, 0.5), 1e-6);
}

Log thinned(const Log& log) {
  const std::size_t stride = std::max<std::size_t>(1, log.size() / kThinned);
  Log out;
  out.attitude = log.attitude;
  out.attitude_variance = log.attitude_variance;
  for (std::size_t k = 0; k < log.size(); k += stride) {
    out.time_s.push_back(log.time_s[k]);
    for (std::size_t i = 0; i < 3; ++i) out.m[i].push_back(log.m[i][k]);
    if (log.attitude == Attitude::logged) {
      out.roll_rad.push_back(log.roll_rad[k]);
      out.pitch_rad.push_back(log.pitch_rad[k]);
    }
  }
  out.use.assign(out.size(), 1);
  return out;
}

NoiseModel white(double sigma) { return NoiseModel{sigma * sigma, 0.0, 0.0}; }

// Keeps the best-fitting share of the samples, fits, and tightens. With three quarters, gross
// disturbances of up to a quarter of the recording cannot hold on to the answer.
void robust_start(const Log& log, const Problem& problem, double share, Parameters& theta) {
  Log few = thinned(log);
  if (share >= 1.0) {
    // All samples, all rows alike, a scale at which nothing is steep.
    iterate(few, problem, theta, white(1.0), white(1.0), serial_for);
  }
  for (int round = 0; round < 12; ++round) {
    for (auto& used : few.use) used = 1;
    const Residuals r = residuals_of(few, problem, theta, 0.0, serial_for);
    const double size_scale = scale_of(r.size, 1);
    const double dip_scale = r.dip.empty() ? 1.0 : scale_of(r.dip, 1);
    std::vector<double> worst(few.size());
    for (std::size_t k = 0; k < few.size(); ++k) {
      worst[k] = std::abs(r.size[k]) / size_scale;
      if (!r.dip.empty() && std::isfinite(r.dip[k])) {
        worst[k] = std::max(worst[k], std::abs(r.dip[k]) / dip_scale);
      }
    }
    std::vector<double> sorted = worst;
    const double cut = round < 6 ? quantile(sorted, share) : kGrossSigma;
    for (std::size_t k = 0; k < few.size(); ++k) few.use[k] = worst[k] <= cut;
    iterate(few, problem, theta, white(size_scale), white(dip_scale), serial_for);
  }
}

// A few unbroken stretches spread over the log: enough to learn the noise, whatever its length.
std::vector<Rows> noise_windows(const Log& log, const Problem& problem, const Parameters& theta,
                                double variance) {
  std::vector<Rows> windows;
  const std::size_t count = log.size() <= kNoiseRows ? 1 : 6;
  const std::size_t length = std::min(log.size(), kNoiseRows / count);
  for (std::size_t w = 0; w < count; ++w) {
    const std::size_t begin = count == 1 ? 0 : w * (log.size() - length) / (count - 1);
    Rows rows;
    fill_rows(log, problem.layout, theta, variance, begin, begin + length, 1, rows);
    windows.push_back(std::move(rows));
  }
  return windows;
}

struct Noise {
  NoiseModel size, dip;
};

Noise learn_noise(const Log& log, const Problem& problem, const Parameters& theta,
                  const Noise& start) {
  std::vector<RowBlock> size_blocks;
  std::vector<RowBlock> dip_blocks;
  for (Rows& rows : noise_windows(log, problem, theta, start.size.variance())) {
    size_blocks.push_back(std::move(rows.size_rows));
    if (rows.dip_rows.rows > 0) dip_blocks.push_back(std::move(rows.dip_rows));
  }
  Noise out = start;
  out.size = fit_noise(size_blocks, problem.prior.precision, start.size);
  if (!dip_blocks.empty()) {
    out.dip = fit_noise(dip_blocks, problem.prior.precision, start.dip);
  }
  return out;
}

double inflation_of(const Log& log, const Problem& problem, const Parameters& theta,
                    const Noise& noise) {
  std::vector<double> whitened;
  double time_s = noise.size.time_constant_s;
  Rows rows;
  WhitenerState state;
  fill_rows(log, problem.layout, theta, noise.size.variance(), 0,
            std::min<std::size_t>(log.size(), 200000), 1, rows);
  whiten(rows.size_rows, noise.size, state);
  for (std::size_t k = 0; k < rows.size_rows.rows; ++k) {
    if (rows.size_rows.use[k]) whitened.push_back(rows.size_rows.residual()[k]);
  }
  const double interval = (log.time_s.back() - log.time_s.front()) /
                          static_cast<double>(std::max<std::size_t>(log.size() - 1, 1));
  const double group =
      std::max({20.0, 10.0 * time_s / interval, static_cast<double>(whitened.size()) / 200.0});
  return long_memory_inflation(whitened, static_cast<std::size_t>(group));
}

Solution solve_keeping(Log& log, const Problem& problem, const Parameters& start, double share,
                       const ParallelFor& parallel) {
  Solution out;
  out.theta = start;
  log.use.assign(log.size(), 1);
  // Until it is learnt: roll and pitch within a quarter of a degree.
  const double total = std::hypot(start[static_cast<std::size_t>(problem.layout.horizontal)],
                                  start[static_cast<std::size_t>(problem.layout.down)]);
  const bool logged = log.attitude == Attitude::logged;
  if (logged) log.attitude_variance = std::pow(0.25 * 3.14159265358979 / 180.0 * total, 2);
  robust_start(log, problem, share, out.theta);

  Noise noise;
  for (int round = 0; round < 3; ++round) {
    const double variance = round == 0 ? 0.0 : noise.size.variance();
    const Residuals r = residuals_of(log, problem, out.theta, variance, parallel);
    const std::size_t stride = std::max<std::size_t>(1, log.size() / 20000);
    // From the residuals themselves: the variance of noise with a long memory says little about one
    // sample.
    const double size_scale = scale_of(r.size, stride);
    const double dip_scale = r.dip.empty() ? 1.0 : scale_of(r.dip, stride);
    out.rejected = reject_stretches(log.time_s, {{&r.size, size_scale}, {&r.dip, dip_scale}},
                                    kGrossSigma, log.use);
    if (round == 0) noise = Noise{white(size_scale), white(dip_scale)};
    if (round > 0 || log.size() <= 50000) {
      iterate(log, problem, out.theta, noise.size, noise.dip, parallel);
    }
    noise = learn_noise(log, problem, out.theta, noise);
    if (logged) {
      log.attitude_variance =
          std::max(dip_scale * dip_scale - size_scale * size_scale, 1e-4 * size_scale * size_scale);
    }
  }
  iterate(log, problem, out.theta, noise.size, noise.dip, parallel);

  out.size_noise = noise.size;
  out.dip_noise = noise.dip;
  out.residual = residuals_of(log, problem, out.theta, noise.size.variance(), parallel).size;
  out.band_inflation = inflation_of(log, problem, out.theta, noise);
  NormalEquations equations =
      all_equations(log, problem, out.theta, noise.size, noise.dip, parallel);
  out.condition = scaled_condition(equations.information);
  // The long memory widens what the data say, not what was assumed.
  for (std::size_t i = 0; i < equations.information.values.size(); ++i) {
    const double assumed_part = problem.prior.precision.values[i];
    double& value = equations.information.values[i];
    value = assumed_part + (value - assumed_part) / out.band_inflation;
  }
  out.covariance = inverse(equations.information);
  return out;
}

}  // namespace

Solution solve(Log& log, const Problem& problem, const Parameters& start,
               const ParallelFor& parallel) {
  constexpr double kTooMany = 0.15;
  Solution careful = solve_keeping(log, problem, start, 0.75, parallel);
  if (static_cast<double>(careful.rejected) <= kTooMany * static_cast<double>(log.size())) {
    return careful;
  }
  // Far from the answer, what fits worst may be the part that shows the way: try it with all.
  const std::vector<unsigned char> use = log.use;
  const double attitude_variance = log.attitude_variance;
  Solution trusting = solve_keeping(log, problem, start, 1.0, parallel);
  if (trusting.rejected < careful.rejected) return trusting;
  log.use = use;
  log.attitude_variance = attitude_variance;
  return careful;
}

}  // namespace qn::sensor_model
