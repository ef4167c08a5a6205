// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "procedure/swing_curve.h"
#include "procedure/swing_matrix_internal.h"

namespace qn {

struct SwingRow;
struct SwingReading;

/// What each degree of tilt adds to B and C: B by pitch, B by roll, C by pitch, C by roll. From the
/// iron that pulls down in the aircraft (docs/math/swing.md, "A tilted aircraft").
inline constexpr std::size_t kTiltNumbers = 4;
using SwingTilt = std::array<double, kTiltNumbers>;
using TiltMatrix = std::array<SwingTilt, kTiltNumbers>;

/// What is believed of them before the readings speak, about 0: the inverse of its covariance.
const TiltMatrix& tilt_precision();

/// 1 sigma of what such a tilt may add to B and to C, before any reading.
std::array<double, 2> tilt_sigmas_deg(double pitch_deg, double roll_deg);

/// Whether any stop was not level.
bool stood_tilted(const std::vector<SwingRow>& rows);

/// Attitudes of the readings into their rows; one that was not given is taken as the mean of those
/// that were, and as level where none was.
void take_attitudes(std::vector<SwingRow>& rows, const std::vector<SwingReading>& readings);

/// The curve on a stop: that of the level aircraft, and what its tilt adds.
DeviationCurve curve_on_stop(DeviationCurve level, const SwingRow& row, const SwingTilt& tilt);

/// Derivatives of the expected reading by the four, from those by B and C.
SwingTilt tilt_gradient(const SwingRow& row, const SwingParameters& gradient);

/// 1 sigma of what the mean tilt of the rows may add to each of A, D and E.
double tilt_between_deg(const std::vector<SwingRow>& rows);

/// The four beside the parameters, in the equations of one step.
struct TiltEquations {
  std::array<SwingParameters, kTiltNumbers> across{};  ///< information, with the parameters
  TiltMatrix information{};
  SwingTilt gradient{};

  void add_row(const SwingTilt& ways, const SwingParameters& gradient_of_row, double weight,
               double first);
  /// Returns the log of the prior's density.
  double add_prior(const SwingTilt& at);
};

/// The four as they go with the parameters.
struct TiltSpread {
  SwingTilt mean{};
  std::array<SwingParameters, kTiltNumbers> follows{};  ///< change for a change of the parameters
  TiltMatrix covariance{};                              ///< the parameters known
  double log_determinant = 0.0;                         ///< of their information
  SwingTilt pull{};                                     ///< their step, the parameters held

  SwingTilt moved_by(const SwingParameters& change) const;
  /// With the parameters' own uncertainty.
  TiltMatrix covariance_with(const SwingMatrix& parameters) const;
};

/// Takes the four out of the equations of the parameters, which are left as if they had been
/// integrated over.
TiltSpread take_out(const TiltEquations& tilt, SwingMatrix& information, SwingParameters& gradient);

}  // namespace qn
