// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "procedure/swing_fit_internal.h"

namespace qn {

/// A reading among those of all compasses of a swing.
struct JointRow {
  std::size_t compass = 0;
  std::size_t row = 0;    ///< of its compass
  std::size_t visit = 0;  ///< stay on a mark: the place of the aircraft is common to its rows
  double reading_deg = 0.7, rounding_deg = 1.0;  ///< 1 sigma at size 1, and step, of its compass
  SwingRow as_read;
  SwingRowView view;  ///< from the parameters to linearise about
};

/// Parameters and tilt of one compass, as the readings tell them.
struct TiltedInformation {
  SwingMatrix parameters{};
  TiltEquations tilt;  ///< no gradient
};

/// Variances as multiples of those that the rows and the prior name.
struct JointSizes {
  std::vector<double> reading;  ///< of each compass
  double station = 1.0;
};

/// Least squares of all compasses at once, linear about the views: of each compass six parameters
/// (of a tilted aircraft ten: what tilt adds), and between its readings and those of others on the
/// same stay the place of the aircraft.
///
/// With P = W - W X (X'WX + L)^-1 X'W, W the inverse of the readings' covariance and L the prior's
/// precision, everything asked of it is a product: what is left, its weight, what another reading
/// being wrong would explain.
class JointSystem {
 public:
  /// rows   as they are to be used
  /// sd     what is believed of the parameters of each compass
  JointSystem(const std::vector<JointRow>& rows, const std::vector<SwingParameters>& sd,
              const SwingPrior& prior, const JointSizes& sizes);

  bool good() const { return good_; }  ///< false: the parameters cannot be told
  std::size_t rows() const { return rows_; }
  const std::vector<double>& projector() const { return projector_; }  ///< P, rows x rows
  const std::vector<double>& left() const { return left_; }            ///< P y
  double squares() const { return squares_; }                          ///< y' P y
  double freedom() const { return freedom_; }  ///< readings less the parameters that they tell

  /// Derivative of one row's reading by the place of the aircraft, times the place's sigma.
  double placing(std::size_t row) const { return placing_[row]; }
  double reading_variance(std::size_t row) const { return variance_[row]; }
  /// Covariance of the parameters of one compass, all others unknown.
  SwingMatrix covariance(std::size_t compass) const;
  SwingParameters step(std::size_t compass) const;  ///< from the parameters linearised about
  /// Information on the parameters of one compass and on what tilt adds, all others unknown and
  /// without what was believed before. Nothing when no aircraft was tilted.
  std::optional<TiltedInformation> told(std::size_t compass) const;
  SwingTilt tilt(std::size_t compass) const;

 private:
  std::size_t rows_ = 0, own_ = kSwingParameters, parameters_ = 0;
  bool good_ = false;
  std::vector<double> projector_, left_, placing_, variance_;
  std::vector<double> covariance_, step_;
  double squares_ = 0.0, freedom_ = 0.0;
};

}  // namespace qn
