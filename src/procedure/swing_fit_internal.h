// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "procedure/swing_curve.h"
#include "procedure/swing_matrix_internal.h"
#include "procedure/swing_tilt_internal.h"

namespace qn {

struct SwingRow {
  double station_deg = 0.0;
  double indicated_deg = 0.0;
  double turn = 1.0;                       ///< +1 clockwise or not said, -1 the other way
  double pitch_deg = 0.0, roll_deg = 0.0;  ///< nose up, right wing down; 0 where not known
};

/// What is believed before the readings speak; 1 sigma, degrees.
struct SwingPrior {
  double reading_sigma_deg = 0.7;
  double station_sigma_deg = 0.7;
  double rounding_deg = 1.0;
  double noise_dof = 4.0;   ///< how firmly: as if from this many readings
  double shared_dof = 4.0;  ///< the same for sizes of several compasses and of the placing
  SwingParameters sd{};     ///< of the parameters, each about 0
  bool tilted = false;      ///< some stop was not level: what tilt adds is a matter of the fit

  /// Scatter of the reading of a compass whose curve has this slope, before rounding.
  double sigma(double slope) const;
};

/// One row seen from a set of parameters.
struct SwingRowView {
  double left_deg = 0.0;       ///< read minus expected, (-180, 180]
  double expected_deg = 0.0;   ///< not wrapped
  double along = 1.0;          ///< degrees of magnetic heading for one of reading
  double sigma_deg = 0.0;      ///< of the reading before rounding, at scale 1
  SwingParameters gradient{};  ///< of the expected reading
};
/// near_deg  where the expected reading is looked for; the parameters' own guess when left out
/// tilt      what each degree of tilt adds to B and C
SwingRowView view_row(const SwingRow& row, DeviationForm form, const SwingParameters& theta,
                      const SwingPrior& prior, std::optional<double> near_deg = std::nullopt,
                      const SwingTilt& tilt = {});

/// Parameters at one size of the noise: a normal law about the likeliest ones.
struct SwingNode {
  double scale = 1.0;  ///< times the sigmas of the prior
  SwingParameters theta{};
  SwingSpread spread;
  double log_weight = 0.0;         ///< not normalised
  std::optional<TiltSpread> tilt;  ///< of a tilted aircraft; `spread` has it integrated out
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

/// The likeliest parameters of the level aircraft at the size of the noise that the prior names.
SwingParameters likeliest_parameters(const std::vector<SwingRow>& rows, DeviationForm form,
                                     const SwingPrior& prior, const SwingParameters& start);

/// Log of the prior of the size of the noise.
double log_scale_prior(double scale, const SwingPrior& prior);

/// Rounding so coarse against the scatter that the readings' intervals have corners which a normal
/// law does not have.
bool coarsely_rounded(const SwingPosterior& posterior, const SwingPrior& prior);

/// Draws from the posterior law, the same standard numbers for each law: draw `first` of the
/// sequence, and the next ones. With coarse rounding the normal laws only propose, and draws are
/// weighed against the law itself and drawn again.
void draw_swing(const std::vector<SwingRow>& rows, const SwingPosterior& posterior,
                const SwingPrior& prior, std::size_t first, std::size_t count,
                std::vector<SwingParameters>& out);

/// Standard normal numbers, evenly spread, in opposite pairs: of draw d six for the parameters and
/// the seventh for what they know nothing of.
inline constexpr std::size_t kSwingNumbers = 7;
const double* swing_numbers(std::size_t draw);

DeviationCurve curve_of(DeviationForm form, const SwingParameters& theta);

}  // namespace qn
