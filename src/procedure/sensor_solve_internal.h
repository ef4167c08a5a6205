// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/sensor_model_internal.h"
#include "vocab/parallel.h"

namespace qn::sensor_model {

/// What is taken for known before the recording is looked at: mean and precision per parameter.
/// The sizes are this program's own assumptions and are printed where they carry an answer.
struct Prior {
  Parameters mean;
  SquareMatrix precision;
};

namespace assumed {
inline constexpr double kGain = 0.10;      ///< each axis' scale against nominal, 1 sigma
inline constexpr double kCoupling = 0.05;  ///< each off-diagonal entry of the matrix
inline constexpr double kYaw_rad = 1.0;    ///< turn of the sensor about the vertical: open
inline constexpr double kVerticalIron_uT = 20.0;
inline constexpr double kFlat_uT = 1000.0;      ///< wide enough never to matter
inline constexpr double kLoggedTilt_deg = 0.1;  ///< constant error of roll and pitch columns
}  // namespace assumed

struct PriorInput {
  double horizontal = 0.0, down = 0.0;
  double sigma_horizontal = 1.0, sigma_down = 1.0;
  double slope_north_rad = 0.0, slope_east_rad = 0.0, sigma_slope_rad = 0.0;
  double deck_roll_rad = 0.0, deck_pitch_rad = 0.0, sigma_deck_rad = 0.0;
  double sigma_north_rad = 0.0;
  bool level_turn = false;  ///< then the vertical hard iron needs its own assumption
};
Prior make_prior(const Layout& layout, const PriorInput& input);

struct Problem {
  Layout layout;
  Prior prior;
  std::vector<HeadingFix> fixes;
  double sigma_fix_rad = 0.01;
};

struct Solution {
  Parameters theta;
  SquareMatrix covariance;
  NoiseModel size_noise;  ///< of the distance to the ellipsoid, uT of the reading
  NoiseModel dip_noise;
  double band_inflation = 1.0;
  double condition = 0.0;
  std::vector<double> residual;  ///< of every sample, uT of the reading
  std::size_t rejected = 0;
};

/// Sums of all rows of the log at theta, whitened; priors and heading fixes included.
NormalEquations all_equations(const Log& log, const Problem& problem, const Parameters& theta,
                              const NoiseModel& size_noise, const NoiseModel& dip_noise,
                              const ParallelFor& parallel);

/// Gauss-Newton with step control on the whole log at a fixed noise model; theta is the start and
/// the result. Returns the final cost.
double iterate(const Log& log, const Problem& problem, Parameters& theta,
               const NoiseModel& size_noise, const NoiseModel& dip_noise,
               const ParallelFor& parallel);

/// Robust start, rejection of stretches that do not fit, noise, full fit. `log.use` is rewritten.
Solution solve(Log& log, const Problem& problem, const Parameters& start,
               const ParallelFor& parallel);

}  // namespace qn::sensor_model
