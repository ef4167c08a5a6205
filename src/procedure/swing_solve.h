// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "procedure/swing_curve.h"
#include "procedure/swing_loads.h"
#include "procedure/swing_means.h"
#include "vocab/result.h"
#include "vocab/verdict.h"

namespace qn {

enum class SwingTurn { unknown, clockwise, counterclockwise };

/// What one compass showed while the aircraft stood on one mark.
struct SwingReading {
  double station_deg = 0.0;    ///< magnetic heading of the aircraft
  double indicated_deg = 0.0;  ///< what was read
  std::string compass;
  SwingTurn turn = SwingTurn::unknown;
  int repeat = 0;
  std::string loads;       ///< as loads_state() has it: "off", "on", "pitot+strobe"; or empty
  double roll_deg = 0.0;   ///< right wing down; NaN: not known, taken as level
  double pitch_deg = 0.0;  ///< nose up; NaN: not known
  std::size_t row = 0;     ///< of the file, counted from 0
  /// 1 sigma of this reading, where what read it tells (the mean of a link); NaN: it does not. Such
  /// a reading is not rounded.
  double own_sigma_deg = std::numeric_limits<double>::quiet_NaN();
  double mark_sigma_deg = 0.0;  ///< of the mark it was read on, the same on every visit; 0: none
  /// What an adjuster was turned to make it read, there and then; NaN: none was.
  double set_deg = std::numeric_limits<double>::quiet_NaN();
  char adjuster = 0;  ///< which one: A, B or C; 0: by the heading
};

/// All sigmas are 1 sigma in degrees and larger than zero; those not given are our own careful
/// assumptions, printed with every answer.
struct SwingOptions {
  std::optional<double> rounding_deg;          ///< 1: readings are taken as rounded to this step
  std::optional<double> reading_sigma_deg;     ///< 0.7; of a compass that tells its own, that
  std::optional<double> station_sigma_deg;     ///< 0.7: the aircraft beside the mark, common to all
  std::optional<double> north_sigma_deg;       ///< 0.5: of the rose, or of the variation
  std::optional<double> hysteresis_sigma_deg;  ///< 0.5: between turns, when only one was made
  std::optional<double> variation_deg;  ///< of the place: only to notice readings or stations
                                        ///< given in the wrong north
  bool variation_applied = false;       ///< it was taken off true stations: a large A is not it
  std::vector<std::pair<std::string, Limit>> limits;  ///< by compass, any capitals
};

/// Why a reading is thought to be wrong; `what` says it for people.
struct DoubtfulReading {
  std::size_t row = 0;
  double station_deg = 0.0;
  double indicated_deg = 0.0;
  double expected_deg = 0.0;  ///< what the other readings foretell here
  std::string likely;         ///< "misread by 10", "digits swapped", "other station", ...
  std::string what;
  std::string cause;   ///< `likely` for people, with what speaks for it
  std::string beside;  ///< what the marks beside it show of the cause; part of `cause`
  double probability = 0.0;
};

struct SwingPoint {
  double indicated_deg, deviation_deg, lo_deg, hi_deg;
};

/// A reading as the curve meets it.
struct SwingObserved {
  double station_deg = 0.0, indicated_deg = 0.0;
  double deviation_deg = 0.0;  ///< station minus indicated
  SwingTurn turn = SwingTurn::unknown;
  bool used = true;  ///< false: left out as wrong
};

/// How a tilted aircraft stood, and what that did to a compass: its curve is that of the level
/// aircraft.
struct SwingStance {
  double pitch_deg = 0.0, roll_deg = 0.0;  ///< mean of the stops; nose up, right wing down
  double most_deg = 0.0;                   ///< the largest of either
  /// What each degree adds: B by pitch, B by roll, C by pitch, C by roll.
  std::array<double, 4> per_deg{}, sigma_per_deg{};
  double b_sigma_deg = 0.0, c_sigma_deg = 0.0;  ///< of what the mean tilt adds to B and C
};

/// One compass under one state of the loads.
struct SwingCompass {
  std::string name;
  std::string loads;
  std::vector<std::size_t> rows;        ///< of the file, in the order of `residuals_deg`
  std::vector<SwingObserved> observed;  ///< beside `rows`
  bool solved = false;  ///< false: `verdict.because` says why; what follows is empty
  DeviationCurve curve;
  std::array<bool, 5> supported{};  ///< false: these headings cannot tell this coefficient
  SwingCoefficients sigma_deg{};
  std::array<std::pair<double, double>, 5> band_95_deg{};
  std::array<std::array<double, 5>, 5> covariance_deg2{};
  double worst_deviation_deg = 0.0;  ///< largest size over all headings
  double worst_at_deg = 0.0;
  std::pair<double, double> worst_95_deg{0.0, 0.0};
  std::vector<SwingPoint> points;         ///< every 10 degrees
  std::vector<double> residuals_deg;      ///< deviation observed minus fitted, each reading
  std::optional<SwingMeans> by_means;     ///< as a worksheet has it, to compare
  std::vector<DoubtfulReading> gross;     ///< named: left out
  std::vector<DoubtfulReading> suspects;  ///< one of these is probably wrong; none is left out
  std::optional<double> hysteresis_deg;   ///< deviation turning clockwise minus the other way
  double hysteresis_sigma_deg = 0.0;
  double noise_deg = 0.0;             ///< scatter of a reading, 1 sigma, before rounding
  double reading_sigma_deg = 0.0;     ///< that it was begun with, beside the mark
  bool reading_sigma_is_own = false;  ///< told by its readings, and not assumed or given for all
  std::optional<double> lack_of_fit_p;
  std::optional<SwingStance> stance;  ///< nothing when the aircraft stood level, or it was not said
  std::vector<std::string> remarks;
  std::vector<std::string> story;  ///< what of it the adjusters take off, and what not
  Verdict verdict;

  bool exact() const { return curve.form == DeviationForm::exact; }
  /// Draws of the coefficients, 5 numbers each, as they may be: what the bands were made of.
  std::vector<double> draws_deg;
};

/// Whether the readings depart from what five coefficients can follow: lack_of_fit_p below 0.01.
bool swing_departs(const SwingCompass& compass);
/// The largest residual of a reading that is not left out where they do, else 0: what the curve may
/// be off by beyond its band, degrees.
double swing_departure_deg(const SwingCompass& compass);

/// Where the two directions of turn differ beyond chance and by more than 2 degrees, half of that
/// difference as far as it may reach, else 0: what the compass is off by beside its curve, which is
/// the middle of both, degrees.
double swing_lag_deg(const SwingCompass& compass);
/// By the largest deviation, its band, readings in doubt and what may stand beyond the band.
VerdictState swing_state(const SwingCompass& compass);

struct SwingSolution {
  std::vector<SwingCompass> compasses;
  std::vector<LoadsEffect> loads;  ///< what each state of the loads does, beside off
  std::vector<std::string> assumptions;
  std::vector<std::string> remarks;
  std::string sentence;
};

/// Fits the deviation of every compass of a swing.
///
/// readings  3 or more headings for each compass, in any order
/// errors    OutOfRange: a sigma that is not positive, a limit for a compass that is not there.
///           BadInput: no reading
/// cost      0.4 to 1 ms a compass of 8 to 24 readings, three times that when rounding is coarse
/// source    docs/math/swing.md
Result<SwingSolution> solve_swing(const std::vector<SwingReading>& readings,
                                  const SwingOptions& options);

}  // namespace qn
