// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <cmath>
#include <utility>

namespace qn::accuracy {

/// Exact whitening of rows that see a slow noise through changing directions.
///
/// Noise of the d channels at time t: slow(t) + white(t); slow is d independent AR(1) processes
/// with the standard deviations `slow_sd` and time constants `slow_time_s`, white has `white_sd`. A
/// sample offers rows N (m x d) of it. A Kalman filter of the state `slow`, run on all columns
/// alike, gives innovations with covariance F_t; F_t^-1/2 makes them independent with unit
/// variance.
class ColouredWhitener {
 public:
  ColouredWhitener(Eigen::VectorXd slow_sd, Eigen::VectorXd slow_time_s, Eigen::VectorXd white_sd,
                   Eigen::Index columns)
      : slow_variance_{slow_sd.cwiseAbs2()},
        time_s_{std::move(slow_time_s)},
        white_variance_{white_sd.cwiseAbs2()},
        state_{Eigen::MatrixXd::Zero(slow_sd.size(), columns)},
        variance_{slow_variance_.asDiagonal()} {}

  /// rows  N * columns of this sample (m x columns); returns the same, whitened.
  Eigen::MatrixXd step(double time_s, const Eigen::MatrixXd& N, const Eigen::MatrixXd& rows) {
    if (started_) forget(time_s - last_s_);
    started_ = true;
    last_s_ = time_s;
    const Eigen::MatrixXd PN = variance_ * N.transpose();
    const Eigen::MatrixXd F = N * PN + N * white_variance_.asDiagonal() * N.transpose();
    const Eigen::LLT<Eigen::MatrixXd> factor(F);
    const Eigen::MatrixXd innovation = rows - N * state_;
    const Eigen::MatrixXd white = factor.matrixL().solve(innovation);
    const Eigen::MatrixXd gain = factor.solve(PN.transpose()).transpose();
    state_ += gain * innovation;
    variance_ -= gain * PN.transpose();
    variance_ = 0.5 * (variance_ + variance_.transpose()).eval();
    return white;
  }

 private:
  void forget(double dt) {
    const Eigen::Index d = state_.rows();
    Eigen::VectorXd phi(d);
    for (Eigen::Index i = 0; i < d; ++i) {
      phi[i] = time_s_[i] > 0.0 ? std::exp(-dt / time_s_[i]) : 0.0;
    }
    state_ = phi.asDiagonal() * state_;
    variance_ = phi.asDiagonal() * variance_ * phi.asDiagonal();
    variance_.diagonal() += (slow_variance_.array() * (1.0 - phi.array().square())).matrix();
  }

  Eigen::VectorXd slow_variance_, time_s_, white_variance_;
  Eigen::MatrixXd state_, variance_;
  double last_s_ = 0.0;
  bool started_ = false;
};

}  // namespace qn::accuracy
