// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <array>
#include <vector>

#include "earth/local_field.h"
#include "simulate/heading_truth.h"
#include "simulate/sensor_recording_maker.h"

namespace qn::accuracy {

/// Which rotation of the corrected axes a recording leaves open, and the convention that closes it.
enum class Gauge {
  symmetric,             ///< a tumble without attitude: three angles; the matrix is symmetric
  symmetric_horizontal,  ///< a level turn without headings: yaw; upper left 2x2 block symmetric
  none,                  ///< tied to the airframe (or to the attitude columns' axes)
};

/// 1 sigma of what is known beforehand. The truth is to be drawn from the same.
struct BoundPriors {
  simulate::IronSpread iron;
  double yaw_rad = 1.0;  ///< turn of the sensor about the vertical
  double slope_deg = 0.5;
  double deck_deg = 0.5;
  double placement_deg = 0.5;
  double north_deg = 0.3;
  double logged_tilt_deg = 0.1;  ///< bias of roll and pitch columns
};

struct BoundRequest {
  const simulate::SimulatedRecording* made = nullptr;
  LocalField model;  ///< its sigmas are the prior of H and Z
  Gauge gauge = Gauge::symmetric;
  bool level = false;           ///< stood on the ground while turning: slope and deck are priors
  bool headings_known = false;  ///< the stops' headings are given
  bool clean_only = true;       ///< leave out what steel and spikes touched, as if one knew
  BoundPriors priors;
};

/// The truth in the axes that the gauge chooses: matrix = Q S^-1, and the sensor seen from there.
struct GaugedTruth {
  Matrix3 matrix{};              ///< what a perfect estimator would answer, per microtesla
  Matrix3 turn{};                ///< Q: airframe to those axes
  simulate::SensorTruth sensor;  ///< soft iron = matrix^-1: for heading errors in those axes
};
GaugedTruth gauged(const simulate::SensorTruth& truth, Gauge gauge);

/// The Cramer-Rao bound (with the stated priors) of an estimator that knows the noise.
///
/// Worked out apart from any estimator: the forward model of the simulator (raw reading as a
/// function of correction, offset, H, Z, tilt, north, placement and each sample's own attitude) is
/// differentiated by central differences at the truth. Whatever is free in each sample (direction
/// of the field, or heading alone) is taken out by projecting the reading on the complement of its
/// derivatives; the noise, white plus AR(1) in sensor axes, is whitened exactly by a Kalman filter
/// whose state is the slow part of every axis.
class SensorBound {
 public:
  explicit SensorBound(const BoundRequest& request);

  const GaugedTruth& truth() const { return truth_; }
  Vector3 offset_sd_uT() const;
  Matrix3 matrix_sd() const;
  /// Would the sd grow by more than half if the spread of the iron were taken five times wider?
  /// Then the figure is carried by that assumption and not by the recording. The bound is then
  /// worked out at a truth on which it depends itself (a large M_zz makes the offset's bound small
  /// just when a shrunken estimate is far off), so that only averages over many truths may be
  /// compared.
  std::array<bool, 3> offset_carried() const;
  std::array<std::array<bool, 3>, 3> matrix_carried() const;
  /// Posterior over prior sd of a matrix element: near 1 it was not observed.
  Matrix3 matrix_to_prior() const;
  /// sd of the heading error left after the correction, level flight.
  double after_sd_deg(double heading_deg) const;
  /// sd of the estimated heading error without correction, level flight.
  double before_sd_deg(double heading_deg) const;
  const Eigen::MatrixXd& covariance() const { return covariance_; }

 private:
  void build(const BoundRequest& request);
  double sd_of(const Eigen::VectorXd& gradient) const;
  bool carried(int parameter) const;

  GaugedTruth truth_;
  std::array<std::array<int, 3>, 3> matrix_index_{};
  int offset_index_ = 0;
  int field_index_ = 0;
  Eigen::MatrixXd covariance_;
  Eigen::MatrixXd covariance_wide_;  ///< with the iron's spread five times wider
  Eigen::VectorXd prior_sd_;
};

}  // namespace qn::accuracy
