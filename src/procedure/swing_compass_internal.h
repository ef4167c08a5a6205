// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/swing_gross_internal.h"
#include "procedure/swing_solve.h"

namespace qn {

/// The options with our own assumptions filled in.
struct SwingSettings {
  SwingPrior prior;
  double north_sigma_deg = 0.5;
  double hysteresis_sigma_deg = 0.5;
};
SwingSettings settings_of(const SwingOptions& options);

/// What the readings of one compass were made into.
struct CompassFit {
  std::vector<SwingRow> rows;
  SwingPrior prior;  ///< with the widths used for this compass
  bool both_turns = false;
  bool leaning = false;  ///< the headings alone do not fix all five: a prior helps out
  DeviationForm form = DeviationForm::series;
  std::vector<GrossSet> sets;              ///< opinions on wrong readings, likeliest first
  std::vector<SwingPosterior> posteriors;  ///< for the first of `sets`, as many as matter
};

CompassFit fit_compass(const std::vector<SwingReading>& readings, const SwingSettings& settings);

/// Estimate, covariance, draws, curve and worst deviation, from the fit.
void fill_bands(SwingCompass& compass, const CompassFit& fit, const SwingSettings& settings);

/// Named and doubtful readings.
void fill_gross(SwingCompass& compass, const CompassFit& fit,
                const std::vector<SwingReading>& readings);

/// p of the test for more than five coefficients; nothing when too few readings are left over.
std::optional<double> swing_lack_of_fit(const CompassFit& fit, const SwingParameters& theta,
                                        const std::vector<std::size_t>& left_out);

/// Verdict, its sentence and the remarks of one compass.
void fill_words(SwingCompass& compass, const CompassFit& fit,
                const std::vector<SwingReading>& readings, const SwingOptions& options);

/// Names of the headings' coefficients: "D and E".
std::string unsupported_names(const SwingCompass& compass);

/// Settles "misread by 30" against "other station" by what the other compasses of the same visit
/// showed, and says what concerns all compasses.
void compare_compasses(SwingSolution& solution, const std::vector<SwingReading>& readings,
                       const SwingOptions& options);

}  // namespace qn
