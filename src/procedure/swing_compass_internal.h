// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "procedure/swing_gross_internal.h"
#include "procedure/swing_solve.h"

namespace qn {

/// The options with our own assumptions filled in.
struct SwingSettings {
  SwingPrior prior;
  bool sizes_given = false;  ///< the noise of reading and of placing: believed more firmly
  double north_sigma_deg = 0.5;
  double hysteresis_sigma_deg = 0.5;
};
/// How many readings an assumed size of the noise counts like, beside so many that are left over
/// when the coefficients are told.
double assumed_dof(double left_over);
SwingSettings settings_of(const SwingOptions& options);

/// What the readings of one compass were made into.
struct CompassFit {
  std::vector<SwingRow> rows;
  SwingPrior prior;                     ///< with the widths used for this compass
  std::optional<double> own_sigma_deg;  ///< that the readings tell of themselves
  bool both_turns = false;
  bool leaning = false;  ///< the headings alone do not fix all five: a prior helps out
  DeviationForm form = DeviationForm::series;
  std::vector<GrossSet> sets;              ///< opinions on wrong readings, likeliest first
  std::vector<SwingPosterior> posteriors;  ///< for the first of `sets`, as many as matter
};

/// How far the aircraft turned while this compass stood still; nothing for one that moves.
///
/// readings  of one compass, at least one
std::optional<double> swing_turned_in_vain_deg(const std::vector<SwingReading>& readings);

/// Rows and prior; nothing is fitted yet.
CompassFit prepare_compass(const std::vector<SwingReading>& readings,
                           const SwingSettings& settings);
/// The middle of what was read as A, nothing else.
SwingParameters first_guess(const CompassFit& fit);

/// Estimate, covariance, draws, curve and worst deviation, from the fit.
void fill_bands(SwingCompass& compass, const CompassFit& fit, const SwingSettings& settings);

/// Named and doubtful readings.
void fill_gross(SwingCompass& compass, const CompassFit& fit,
                const std::vector<SwingReading>& readings);

/// p of the test for more than five coefficients; nothing when too few readings are left over.
std::optional<double> swing_lack_of_fit(const CompassFit& fit, const SwingParameters& theta,
                                        const SwingTilt& tilt,
                                        const std::vector<std::size_t>& left_out);

/// Verdict, its sentence and the remarks of one compass.
void fill_words(SwingCompass& compass, const CompassFit& fit,
                const std::vector<SwingReading>& readings, const SwingOptions& options);

/// What tilt adds, over all opinions and sizes of the noise.
struct TiltLaw {
  SwingTilt mean{};
  TiltMatrix covariance{};
};
/// shares  of the opinions
TiltLaw tilt_law(const CompassFit& fit, const std::vector<double>& shares);
SwingStance stance_of(const CompassFit& fit, const TiltLaw& law);

/// Says how the aircraft stood, what of the bands is due to that, and what would be better.
void fill_tilt_words(SwingCompass& compass, const std::vector<SwingReading>& readings);

/// What is seen of a curve that is uncertain: every 10 degrees with its band, and its peak.
struct SwingShape {
  std::vector<SwingPoint> points;
  double worst_deg = 0.0, worst_at_deg = 0.0;
  std::pair<double, double> worst_95_deg{0.0, 0.0};
};
/// draws_deg  the coefficients as they may be, 5 numbers each
SwingShape shape_of(const DeviationCurve& curve, const std::vector<double>& draws_deg);
/// The same without the bands of its points.
SwingShape peak_of(const DeviationCurve& curve, const std::vector<double>& draws_deg);

/// errors  OutOfRange: a sigma that is not positive, or far too large
std::optional<Error> check_swing_options(const SwingOptions& options);

/// errors  those of solve_swing
std::optional<Error> check_swing(const std::vector<SwingReading>& readings,
                                 const SwingOptions& options);

/// Coefficient by coefficient: what takes it off.
std::vector<std::string> adjuster_story(const SwingCompass& compass);

/// What was assumed or given, in sentences.
std::vector<std::string> swing_assumptions(const SwingOptions& options);

/// The limit given for this compass; that of a standby compass when none was.
std::optional<Limit> swing_limit_for(const std::string& compass, const SwingOptions& options);

/// "090", or "087.5" when it is no whole degree.
std::string swing_heading_text(double deg);

/// Names of the headings' coefficients: "D and E".
std::string unsupported_names(const SwingCompass& compass);

/// Settles "misread by 30" against "other station" by what the other compasses of the same visit
/// showed, and says what concerns all compasses.
void compare_compasses(SwingSolution& solution, const std::vector<SwingReading>& readings,
                       const SwingOptions& options);

}  // namespace qn
