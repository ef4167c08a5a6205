// SPDX-License-Identifier: Apache-2.0
#include "accuracy/disturbance_bound.h"

#include <Eigen/Dense>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>

#include "accuracy/disturbance_columns.h"
#include "simulate/attitude.h"

namespace qn::accuracy {
namespace {

using namespace simulate;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Kalman filter of level, slope and slow noise, run on all columns alike.
class RestWhitener {
 public:
  RestWhitener(const DisturbanceSettings& settings, Eigen::Index columns)
      : state_{MatrixXd::Zero(3, columns)} {
    constexpr double kStated_s = 1200.0;
    const double wander = settings.drift.wander_uT;
    q_ = wander * wander / (kStated_s * kStated_s * kStated_s / 3.0);
    slow_time_s_ = settings.noise.slow_correlation_time_s;
    slow_variance_ =
        slow_time_s_ > 0.0 ? settings.noise.slow_sigma_uT * settings.noise.slow_sigma_uT : 0.0;
    variance_.setZero();
    variance_(2, 2) = slow_variance_;
  }

  void go_on(double dt) {
    Eigen::Matrix3d F = Eigen::Matrix3d::Identity();
    F(0, 1) = dt;
    const double fade = slow_time_s_ > 0.0 ? std::exp(-dt / slow_time_s_) : 0.0;
    F(2, 2) = fade;
    state_.row(0) += dt * state_.row(1);
    state_.row(2) *= fade;
    variance_ = (F * variance_ * F.transpose()).eval();
    variance_(0, 0) += q_ * dt * dt * dt / 3.0;
    variance_(0, 1) += q_ * dt * dt / 2.0;
    variance_(1, 0) += q_ * dt * dt / 2.0;
    variance_(1, 1) += q_ * dt;
    variance_(2, 2) += slow_variance_ * (1.0 - fade * fade);
  }

  /// The sample's row, independent of the ones before and of unit variance.
  VectorXd take(const VectorXd& row, double white_variance) {
    const Eigen::Vector3d c{1.0, 0.0, 1.0};
    const Eigen::Vector3d pc = variance_ * c;
    const double f = c.dot(pc) + white_variance;
    const VectorXd left = row - state_.transpose() * c;
    state_ += (pc / f) * left.transpose();
    variance_ -= pc * pc.transpose() / f;
    return left / std::sqrt(f);
  }

 private:
  MatrixXd state_;
  Eigen::Matrix3d variance_;
  double q_ = 0.0, slow_time_s_ = 0.0, slow_variance_ = 0.0;
};

struct Information {
  MatrixXd of_columns;  // J' C^-1 J
  MatrixXd of_edges;    // J' C^-1 e, e one reading at each edge
};

Information information_of(const SimulatedRun& made, const TrueColumns& shapes) {
  const auto p = static_cast<Eigen::Index>(shapes.columns.size());
  const auto edges = static_cast<Eigen::Index>(shapes.edges.size());
  RestWhitener whitener{made.truth.settings, p + edges};
  Information out{MatrixXd::Zero(p, p), MatrixXd::Zero(p, edges)};
  VectorXd row = VectorXd::Zero(p + edges);
  const std::vector<double>& time_s = made.recording.time_s;
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    whitener.go_on(k > 0 ? time_s[k] - time_s[k - 1] : time_s[k]);
    if (!shapes.use[k]) continue;
    for (Eigen::Index j = 0; j < p; ++j) row[j] = shapes.columns[static_cast<std::size_t>(j)][k];
    for (Eigen::Index e = 0; e < edges; ++e) {
      row[p + e] = shapes.edges[static_cast<std::size_t>(e)].sample == k ? 1.0 : 0.0;
    }
    const VectorXd white = whitener.take(row, shapes.white_variance[k]);
    out.of_columns.selfadjointView<Eigen::Lower>().rankUpdate(white.head(p));
    for (Eigen::Index e = 0; e < edges; ++e) {
      // An edge still to come, or long gone.
      if (std::abs(white[p + e]) < 1e-7) continue;
      out.of_edges.col(e) += white[p + e] * white.head(p);
    }
  }
  out.of_columns = MatrixXd{out.of_columns.selfadjointView<Eigen::Lower>()};
  return out;
}

/// Of each edge, in samples.
VectorXd moment_variances(const SimulatedRun& made, const TrueColumns& shapes) {
  const DisturbanceSettings& settings = made.truth.settings;
  VectorXd out(static_cast<Eigen::Index>(shapes.edges.size()));
  for (std::size_t e = 0; e < shapes.edges.size(); ++e) {
    const TrueEdge& edge = shapes.edges[e];
    double square = 0.0;
    for (const double jump : edge.jump_uT) square += jump * jump;
    out[static_cast<Eigen::Index>(e)] =
        moment_variance(std::sqrt(square / shapes.white_variance[edge.sample]),
                        settings.marks.jitter_sigma_s * settings.rate_Hz);
  }
  return out;
}

double mean_square(const Span& even) {
  return (even.lo * even.lo + even.lo * even.hi + even.hi * even.hi) / 3.0;
}

/// Variance of each axis from an airframe that moves with the device, unseen.
Vector3 tilt_variance_uT2(const DisturbanceSettings& settings) {
  Vector3 out{};
  if (settings.log_attitude) return out;
  const Vector3 earth{settings.horizontal_uT, 0.0, settings.down_uT};
  const auto rest = [&](double pitch_deg, double roll_deg) {
    return product(body_from_earth({settings.heading_deg, settings.pitch_deg + pitch_deg,
                                    settings.roll_deg + roll_deg}),
                   earth);
  };
  constexpr double kStep_deg = 1e-3;
  for (const auto& [pitch, roll] : {std::array{1.0, 0.0}, std::array{0.0, 1.0}}) {
    const Vector3 up = rest(kStep_deg * pitch, kStep_deg * roll);
    const Vector3 down = rest(-kStep_deg * pitch, -kStep_deg * roll);
    for (std::size_t a = 0; a < 3; ++a) {
      const double per_deg = (up[a] - down[a]) / (2.0 * kStep_deg);
      out[a] += per_deg * per_deg * mean_square(settings.tilt.size_deg) / 2.0;
    }
  }
  return out;
}

/// Columns of no size in the log (a pulse that never pulses, an event in a gap) stay out of it.
MatrixXd covariance_of(const MatrixXd& information) {
  const double least = 1e-14 * information.diagonal().maxCoeff();
  MatrixXd padded = information;
  for (Eigen::Index j = 0; j < padded.rows(); ++j) padded(j, j) += 1e-6 + least;
  return padded.ldlt().solve(MatrixXd::Identity(padded.rows(), padded.cols()));
}

}  // namespace

double moment_variance(double jump, double prior_sd) {
  if (!(prior_sd > 0.0)) return 0.0;
  const double square = jump * jump;
  return 1.0 / (1.0 / (prior_sd * prior_sd) + 0.22 * square / prior_sd + square * square / 19.2);
}

std::vector<std::vector<StateBound>> disturbance_bound(const SimulatedRun& made) {
  const DisturbanceTruth& truth = made.truth;
  const TrueScript script = true_script(made);
  const TrueColumns shapes = true_columns(made, script);
  const Information shared = information_of(made, shapes);
  const VectorXd moments = moment_variances(made, shapes);
  const Vector3 tilt = tilt_variance_uT2(truth.settings);

  std::vector<std::vector<StateBound>> out(truth.devices.size());
  for (std::size_t d = 0; d < out.size(); ++d) out[d].resize(truth.devices[d].states.size());
  for (const TrueVisit& visit : script.visits) ++out[visit.device][visit.state].visits;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    MatrixXd information = shared.of_columns;
    if (shapes.warm_up != SIZE_MAX) {
      const auto size = static_cast<Eigen::Index>(shapes.warm_up);
      const auto time = static_cast<Eigen::Index>(shapes.warm_up_time);
      const Span& spread = truth.settings.drift.warm_up_time_s;
      information(size, size) += 3.0 / mean_square(truth.settings.drift.warm_up_uT);
      // The column is the derivative by T for 1 uT: its size is the axis's warm-up times dT.
      const double sd =
          std::abs(truth.warm_up_uT[axis]) * (spread.hi - spread.lo) / std::sqrt(12.0);
      information(time, time) += 1.0 / (sd * sd + 1e-12);
    }
    const MatrixXd covariance = covariance_of(information);
    // What a reading that is off at an edge by one jump does to each column's size.
    MatrixXd pull = covariance * shared.of_edges;
    for (Eigen::Index e = 0; e < pull.cols(); ++e) {
      pull.col(e) *= shapes.edges[static_cast<std::size_t>(e)].jump_uT[axis];
    }
    for (std::size_t d = 0; d < out.size(); ++d) {
      const DeviceKind kind = truth.devices[d].device.kind;
      const bool moves = kind == DeviceKind::moving || kind == DeviceKind::engine;
      for (std::size_t s = 1; s < out[d].size(); ++s) {
        double variance = moves ? tilt[axis] : 0.0;
        for (const std::size_t i : shapes.settled[d][s]) {
          for (const std::size_t j : shapes.settled[d][s]) {
            variance += covariance(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
          }
        }
        double finding = variance;
        VectorXd pulled = VectorXd::Zero(pull.cols());
        for (const std::size_t i : shapes.settled[d][s]) {
          pulled += pull.row(static_cast<Eigen::Index>(i)).transpose();
        }
        finding += pulled.cwiseAbs2().dot(moments);
        const double none = std::numeric_limits<double>::quiet_NaN();
        out[d][s].sd_uT[axis] = out[d][s].visits > 0 ? std::sqrt(variance) : none;
        out[d][s].finding_uT[axis] = out[d][s].visits > 0 ? std::sqrt(finding) : none;
      }
    }
  }
  return out;
}

}  // namespace qn::accuracy
