// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "estimation/normal_equations.h"
#include "procedure/air_check.h"

namespace qn {

/// Wind to east and north (kt); the common airspeed (kt), or the common error of the airspeeds
/// shown; A..E (degrees); change of the wind to east and north (kt an hour).
inline constexpr std::size_t kAirParameters = 10;
inline constexpr std::size_t kAirSpeed = 2, kAirA = 3, kAirRate = 8;
using AirParameters = std::array<double, kAirParameters>;

/// One leg in the frame of the tracks, numbers only.
struct AirRow {
  std::optional<double> indicated_deg, track_deg, tas_kt;
  double groundspeed_kt = 0.0;
  double hours = 0.0;  ///< from the middle of the flight
};

/// What is believed before the legs speak.
struct AirPrior {
  double heading_sigma_deg = 1.0;  ///< with the rounding
  double track_sigma_deg = 0.5, speed_sigma_kt = 0.5;
  double airspeed_sigma_kt = 1.0, wind_sigma_kt = 0.7;
  double noise_dof = 4.0;
  double track_minus_heading_deg = 0.0;  ///< by their norths: 0, or the variation either way
  AirParameters sd{};                    ///< of the parameters, each about 0
};

/// The options with our own assumptions filled in.
AirPrior air_prior_of(const AirOptions& options, bool own_airspeeds, bool variation_known);

/// What cannot be used, if anything.
std::optional<Error> check_air_options(const AirOptions& options);

/// Sizes of the noise as multiples of the prior's: of headings, of everything in knots.
struct AirScales {
  double heading = 1.0, velocity = 1.0;
};

/// The true heading and airspeed of a leg: as likely as its readings and the parameters allow.
struct AirNuisance {
  double indicated_deg = 0.0, tas_kt = 0.0;
};

/// One leg seen from a set of parameters, whitened: no, one or two rows.
struct AirLegView {
  std::size_t rows = 0;
  std::array<double, 2> residual{};         ///< observed minus expected, over sigma
  std::array<AirParameters, 2> gradient{};  ///< of the expected, over sigma
  double log_determinant = 0.0;             ///< of the covariance before whitening
};

/// Improves `nuisance` for these parameters and gives the view from there.
AirLegView view_air_leg(const AirRow& row, DeviationForm form, const AirParameters& theta,
                        const AirPrior& prior, const AirScales& scales, AirNuisance& nuisance);

/// Ground velocity east, north (kt) of an aircraft that shows `indicated_deg`.
std::array<double, 2> ground_velocity(double indicated_deg, double tas_kt, double hours,
                                      DeviationForm form, const AirParameters& theta,
                                      const AirPrior& prior);

/// The other way: velocity through the air east, north (kt) of a leg with a track, by its ground
/// velocity and the wind.
std::array<double, 2> air_velocity(const AirRow& row, const AirParameters& theta);

/// True airspeed (kt): the common one, or the leg's own less the common error of those shown.
double airspeed_of(const AirRow& row, const AirParameters& theta);

/// The deviation of the display.
DeviationCurve air_curve(DeviationForm form, const AirParameters& theta);

struct AirNode {
  AirScales scales;
  AirParameters theta{};
  SquareMatrix information, covariance;
  double log_weight = 0.0;
};

/// The posterior law: a mixture of normal laws over the sizes of the noise.
struct AirPosterior {
  DeviationForm form = DeviationForm::series;
  std::vector<AirNode> nodes;  ///< never empty
  const AirNode& likeliest() const;
};

AirPosterior fit_air_rows(const std::vector<AirRow>& rows, DeviationForm form,
                          const AirPrior& prior, const AirParameters& start);

/// Where to begin: least squares that is linear in wind and air velocity; where headings are
/// missing, the circle through the heads of the ground velocities.
AirParameters start_air(const std::vector<AirRow>& rows, const AirPrior& prior);

/// What of a leg may be wrong.
enum class AirReading { heading, track, speed };

/// One opinion: this reading of this leg is wrong, all others are good. Without a row: none is.
struct AirOpinion {
  std::optional<std::size_t> row;
  AirReading reading = AirReading::heading;
  std::string likely;  ///< the likeliest cause
  double probability = 1.0;
  AirPosterior posterior;  ///< of the readings that are good
};

/// A fit with what it was made from.
struct AirFit {
  std::vector<AirRow> rows;
  std::vector<std::size_t> leg_of_row;
  AirPrior prior;
  AirPosterior posterior;              ///< of the likeliest opinion
  std::vector<AirOpinion> opinions;    ///< likeliest first; empty: no reading was doubted yet
  std::vector<std::size_t> unchecked;  ///< rows whose heading the others do not check
  bool by_hand = true;
  bool variation_known = true;
  bool headings = true;              ///< some leg has one
  bool own_airspeeds = false;        ///< tas_kt is used
  double a_outside_sigma_deg = 0.0;  ///< sideslip and variation, which no leg can tell
};

/// Whether there are legs enough to weigh that a reading of one is wrong.
bool air_readings_weighed(const AirFit& fit);

/// Mean true airspeed (kt) of the legs, for this parameter kAirSpeed.
double mean_airspeed(const AirFit& fit, double parameter);

/// What an extra leg on this indicated heading would add to the information.
void add_air_information(SquareMatrix& information, double indicated_deg, double hours,
                         const AirFit& fit, const AirNode& node);

/// Largest sigma of the deviation curve over all headings, without what is outside the legs.
double worst_curve_sigma(const SquareMatrix& covariance);

void fill_air_bands(AirSolution& out, const AirFit& fit);
void fill_air_next(AirSolution& out, const AirFit& fit);
void fill_air_doubt(AirSolution& out, const AirFit& fit);
void say_air_assumptions(AirSolution& out, const AirFit& fit, const AirOptions& options);
void fill_air_words(AirSolution& out, const AirFit& fit, const AirOptions& options);

}  // namespace qn
