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
#include "vocab/result.h"
#include "vocab/verdict.h"

namespace qn {

/// One stretch of level flight, straight, at one power setting.
struct AirLeg {
  std::string name;                     ///< for people; empty: its number
  std::optional<double> indicated_deg;  ///< none: the leg helps to find wind and airspeed only
  std::optional<double> track_deg;      ///< none: the ground speed alone is used
  double groundspeed_kt = 0.0;
  std::optional<double> tas_kt;  ///< true airspeed as shown
  double from_s = std::numeric_limits<double>::quiet_NaN();
  double to_s = std::numeric_limits<double>::quiet_NaN();
};

enum class TrackNorth { true_north, magnetic };
enum class ShownNorth { magnetic, true_north };

/// All sigmas are 1 sigma and larger than zero; those not given are our own careful assumptions,
/// printed with every answer.
struct AirOptions {
  /// By what the norths of tracks and headings differ, in variations: 1, 0 or -1.
  double norths_apart() const;

  TrackNorth tracks_are = TrackNorth::true_north;
  ShownNorth headings_are = ShownNorth::magnetic;  ///< what the display shows
  std::optional<double> variation_deg;             ///< none: A cannot be told across two norths
  std::optional<double> variation_sigma_deg;       ///< 0.5
  std::optional<double> sideslip_sigma_deg;        ///< 1: constant, ball off centre; all of it in A
  std::optional<double> heading_sigma_deg;         ///< 1 by hand, 0.7 of a log
  std::optional<double> rounding_deg;              ///< of headings: 1 by hand, 0 of a log
  std::optional<double> track_sigma_deg;           ///< 0.35 by hand, 0.2 of a log
  std::optional<double> speed_sigma_kt;     ///< of the ground speed: 0.35 by hand, 0.2 of a log
  std::optional<double> airspeed_sigma_kt;  ///< from leg to leg: 1, of a log 0.8
  std::optional<double> tas_sigma_kt;       ///< common error of tas_kt: 3
  std::optional<double> wind_sigma_kt;      ///< per axis from leg to leg: 0.7, of a log 0.5
  std::optional<double> wind_change_kt_per_hour;  ///< per axis: 6
  std::optional<Limit> limit;                     ///< of the largest deviation
  bool from_log = false;                          ///< legs are means over a recording
  bool look_ahead = true;                         ///< false: `next_legs_deg` stays empty
};

struct AirLegResult {
  bool used = true;
  std::string why_not;
  std::optional<double> residual_deg;      ///< deviation observed minus fitted
  std::optional<double> along_kt;          ///< air speed of the leg minus the common one
  std::optional<double> true_heading_deg;  ///< from wind and ground velocity alone
};

/// A reading of a leg that is probably wrong.
struct DoubtfulLeg {
  std::size_t leg = 0;       ///< among those given
  std::string reading;       ///< "heading", "track" or "ground speed"
  std::string likely;        ///< the likeliest cause: "misread by 10", "digits swapped", ...
  double read = 0.0;         ///< degrees, of a ground speed knots
  double expected = 0.0;     ///< what the other readings foretell
  double probability = 0.0;  ///< that it is wrong
  std::string what;          ///< a whole sentence
};

/// What D and E have in common that these headings do tell.
struct AirCombination {
  double of_d = 0.0, of_e = 0.0;  ///< of_d^2 + of_e^2 = 1
  double value_deg = 0.0, sigma_deg = 0.0;
};

struct AirPoint {
  double indicated_deg, deviation_deg, lo_deg, hi_deg;
};

struct AirSolution {
  bool wind_known = false;     ///< false: `verdict.because` says why, and nothing else is known
  double wind_from_deg = 0.0;  ///< true, unless `wind_is_magnetic`
  bool wind_is_magnetic = false;
  double wind_kt = 0.0;
  std::array<double, 2> wind_to_kt{};  ///< east and north component of where it blows to
  std::array<double, 2> wind_sigma_kt{};
  std::array<std::pair<double, double>, 2> wind_95_kt{};
  double tas_kt = 0.0, tas_sigma_kt = 0.0;
  std::pair<double, double> tas_95_kt{0.0, 0.0};
  std::optional<std::array<double, 2>> wind_change_kt_per_hour;  ///< with return legs
  std::array<double, 2> wind_change_sigma{};

  DeviationCurve curve;
  std::array<bool, 5> supported{};
  SwingCoefficients sigma_deg{};
  std::array<std::pair<double, double>, 5> band_95_deg{};
  std::array<std::array<double, 5>, 5> covariance_deg2{};
  std::optional<AirCombination> combination;
  bool worst_known = false;  ///< whether the largest deviation has a band at all
  double worst_deviation_deg = 0.0, worst_at_deg = 0.0;
  std::pair<double, double> worst_95_deg{0.0, 0.0};
  std::vector<AirPoint> points;                          ///< every 10 degrees
  double heading_noise_deg = 0.0, velocity_noise = 0.0;  ///< the second as a multiple of assumed

  std::vector<AirLegResult> legs;         ///< as many as were given
  std::vector<DoubtfulLeg> gross;         ///< set aside: next to certainly wrong
  std::vector<DoubtfulLeg> suspects;      ///< one of these is probably wrong; none is set aside
  std::vector<double> next_legs_deg;      ///< two indicated headings that would help most
  double next_worst_sigma_deg = 0.0;      ///< sigma of the curve where it is worst: with them
  double now_worst_sigma_deg = 0.0;       ///< and now, without what no leg can tell
  std::vector<std::string> cannot_prove;  ///< whole sentences
  std::vector<std::string> assumptions, remarks;
  Verdict verdict;
  std::string sentence;

  bool exact() const { return curve.form == DeviationForm::exact; }
};

/// Wind, true airspeed and the deviation of the heading display from legs of flight.
///
/// legs    in the order flown; without times they are taken as 3 minutes apart
/// errors  OutOfRange: a sigma that is not positive. BadInput: no leg, a ground speed that cannot
///         be. Legs that cannot tell the wind are no error: `unproven`
/// cost    about 0.1 s: every reading is also taken to be wrong, one after the other
/// source  docs/math/air-check.md
Result<AirSolution> solve_air(const std::vector<AirLeg>& legs, const AirOptions& options);

}  // namespace qn
