// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/sensor_solve_internal.h"

namespace qn::sensor_model {
namespace {

// Limits fixed from the start of the log and sums joined in order: the digits do not depend on the
// number of threads. The whitener runs through a chunk without a break, block by block.
constexpr std::size_t kChunk = 65536;
constexpr std::size_t kBlock = 1024;

NormalEquations chunk_equations(const Log& log, const Problem& problem, const Parameters& theta,
                                const NoiseModel& size_noise, const NoiseModel& dip_noise,
                                std::size_t begin, std::size_t end) {
  NormalEquations sums{problem.layout.size};
  Rows rows;
  WhitenerState size_state;
  WhitenerState dip_state;
  for (std::size_t at = begin; at < end; at += kBlock) {
    fill_rows(log, problem.layout, theta, size_noise.variance(), at, std::min(at + kBlock, end), 1,
              rows);
    whiten(rows.size_rows, size_noise, size_state);
    sums.add(rows.size_rows);
    if (rows.dip_rows.rows == 0) continue;
    whiten(rows.dip_rows, dip_noise, dip_state);
    sums.add(rows.dip_rows);
  }
  return sums;
}

// A handful of rows: derivatives by central differences, the step small against any sigma here.
void add_fixes(NormalEquations& sums, const Log& log, const Problem& problem,
               const Parameters& theta) {
  const double H = theta[static_cast<std::size_t>(problem.layout.horizontal)];
  for (const HeadingFix& fix : problem.fixes) {
    const double residual = heading_residual_rad(fix, problem.layout, theta, log.attitude);
    std::vector<double> derivatives(theta.size());
    for (std::size_t p = 0; p < theta.size(); ++p) {
      constexpr double kStep = 1e-5;
      Parameters moved = theta;
      moved[p] = theta[p] + kStep;
      const double up = heading_residual_rad(fix, problem.layout, moved, log.attitude);
      moved[p] = theta[p] - kStep;
      const double down = heading_residual_rad(fix, problem.layout, moved, log.attitude);
      derivatives[p] = std::remainder(up - down, 6.283185307179586) / (2.0 * kStep);
    }
    const double sigma = std::hypot(problem.sigma_fix_rad, std::sqrt(fix.variance_m) / H);
    sums.add_row(derivatives, residual, sigma);
  }
}

}  // namespace

NormalEquations all_equations(const Log& log, const Problem& problem, const Parameters& theta,
                              const NoiseModel& size_noise, const NoiseModel& dip_noise,
                              const ParallelFor& parallel) {
  const std::size_t chunks = (log.size() + kChunk - 1) / kChunk;
  std::vector<NormalEquations> parts(chunks);
  parallel(chunks, [&](std::size_t c) {
    parts[c] = chunk_equations(log, problem, theta, size_noise, dip_noise, c * kChunk,
                               std::min((c + 1) * kChunk, log.size()));
  });
  NormalEquations sums{problem.layout.size};
  for (const NormalEquations& part : parts) sums.add(part);
  add_fixes(sums, log, problem, theta);
  std::vector<double> offset(theta.size());
  for (std::size_t p = 0; p < theta.size(); ++p) offset[p] = theta[p] - problem.prior.mean[p];
  sums.add_prior(problem.prior.precision, offset);
  return sums;
}

double iterate(const Log& log, const Problem& problem, Parameters& theta,
               const NoiseModel& size_noise, const NoiseModel& dip_noise,
               const ParallelFor& parallel) {
  double damping = 0.0;
  NormalEquations here = all_equations(log, problem, theta, size_noise, dip_noise, parallel);
  for (int i = 0; i < 40; ++i) {
    const std::vector<double> step = solve_step(here, damping);
    double promised = 0.0;  // how far the cost should fall, in units where 1 is one sigma
    for (std::size_t p = 0; p < step.size(); ++p) promised -= step[p] * here.gradient[p];
    Parameters next = theta;
    for (std::size_t p = 0; p < step.size(); ++p) next[p] += step[p];
    NormalEquations there = all_equations(log, problem, next, size_noise, dip_noise, parallel);
    // With an attitude error in the rows the derivatives are those of an unbiased estimate and not
    // the slope of this cost, which noise alone can lower: a step is then judged by its own length.
    double next_promised = 0.0;
    if (log.attitude_variance > 0.0) {
      const std::vector<double> next_step = solve_step(there, 0.0);
      for (std::size_t p = 0; p < step.size(); ++p) {
        next_promised -= next_step[p] * there.gradient[p];
      }
    }
    const bool better = log.attitude_variance > 0.0 ? next_promised < promised || promised < 1e-4
                                                    : there.cost <= here.cost * (1.0 + 1e-12);
    if (better) {
      theta = next;
      here = std::move(there);
      damping = damping > 1e-6 ? damping * 0.1 : 0.0;
    } else {
      damping = damping > 0.0 ? damping * 10.0 : 1e-4;
    }
    // A step of a hundredth of a sigma changes nothing anybody could see.
    if (promised < 1e-4 && (better || damping > 1.0)) break;
    if (damping > 1e6) break;
  }
  return here.cost;
}

}  // namespace qn::sensor_model
