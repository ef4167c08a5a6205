// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "estimation/normal_equations.h"
#include "procedure/swing_curve.h"

namespace qn {

/// A..E, then half the difference between the two turns.
inline constexpr std::size_t kSwingParameters = 6;
using SwingParameters = std::array<double, kSwingParameters>;

struct SwingRow {
  double station_deg = 0.0;
  double indicated_deg = 0.0;
  double turn = 1.0;  ///< +1 clockwise or not said, -1 the other way
};

/// What is believed before the readings speak; 1 sigma, degrees.
struct SwingPrior {
  double reading_sigma_deg = 0.7;
  double station_sigma_deg = 0.7;
  double rounding_deg = 1.0;
  double noise_dof = 4.0;  ///< how firmly: as if from this many readings
  SwingParameters sd{};    ///< of the parameters, each about 0

  /// Scatter of the reading of a compass whose curve has this slope, before rounding.
  double sigma(double slope) const;
};

/// One row seen from a set of parameters.
struct SwingRowView {
  double left_deg = 0.0;       ///< read minus expected, (-180, 180]
  double sigma_deg = 0.0;      ///< of the reading before rounding, at scale 1
  SwingParameters gradient{};  ///< of the expected reading
};
SwingRowView view_row(const SwingRow& row, DeviationForm form, const SwingParameters& theta,
                      const SwingPrior& prior);

/// Parameters at one size of the noise: a normal law about the likeliest ones.
struct SwingNode {
  double scale = 1.0;  ///< times the sigmas of the prior
  SwingParameters theta{};
  SquareMatrix information, covariance;
  double log_determinant = 0.0;  ///< of the information
  double log_weight = 0.0;       ///< not normalised
};

/// The posterior law: a mixture over the size of the noise, which is why its tails are those of a
/// Student t when readings are few.
struct SwingPosterior {
  DeviationForm form = DeviationForm::series;
  std::vector<SwingNode> nodes;  ///< never empty
  const SwingNode& likeliest() const;
  double mean_scale() const;
};

/// rows  those in use; each is an interval of width rounding_deg, not a point
SwingPosterior fit_swing_rows(const std::vector<SwingRow>& rows, DeviationForm form,
                              const SwingPrior& prior, const SwingParameters& start);

/// Log of likelihood times prior at one size of the noise.
double swing_log_density(const std::vector<SwingRow>& rows, DeviationForm form,
                         const SwingPrior& prior, const SwingParameters& theta, double scale);

/// `count` draws from the posterior law, kSwingParameters each. With coarse rounding the normal
/// laws only propose, and draws are weighed against the law itself and drawn again.
std::vector<SwingParameters> draw_swing(const std::vector<SwingRow>& rows,
                                        const SwingPosterior& posterior, const SwingPrior& prior,
                                        std::size_t count, unsigned seed);

DeviationCurve curve_of(DeviationForm form, const SwingParameters& theta);

}  // namespace qn
