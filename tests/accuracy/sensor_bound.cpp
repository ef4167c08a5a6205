// SPDX-License-Identifier: Apache-2.0
#include "accuracy/sensor_bound.h"

#include <cmath>
#include <numbers>
#include <utility>

#include "accuracy/coloured_whitener.h"

namespace qn::accuracy {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using simulate::body_from_earth;
using simulate::body_from_earth_on_ground;

constexpr double kDeg = std::numbers::pi / 180.0;
using Matrix33 = Eigen::Matrix3d;

Matrix33 to_eigen(const Matrix3& a) {
  Matrix33 out;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out(static_cast<Index>(i), static_cast<Index>(j)) = a[i][j];
  }
  return out;
}

Matrix3 from_eigen(const Matrix33& a) {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out[i][j] = a(static_cast<Index>(i), static_cast<Index>(j));
  }
  return out;
}

Eigen::Vector3d to_eigen(const Vector3& v) { return {v[0], v[1], v[2]}; }

/// Where each parameter stands. -1: not there.
struct Places {
  std::array<std::array<int, 3>, 3> matrix{};
  int offset = 0, field = 0, slope = -1, deck = -1, bias = -1, north = -1, stops = -1;
  int size = 0;
};

Places places_for(const BoundRequest& request) {
  Places at;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      const bool twin = i > j && (request.gauge == Gauge::symmetric ||
                                  (request.gauge == Gauge::symmetric_horizontal && i == 1));
      at.matrix[i][j] = twin ? at.matrix[j][i] : at.size++;
    }
  }
  at.offset = std::exchange(at.size, at.size + 3);
  at.field = std::exchange(at.size, at.size + 2);
  if (request.made->truth.attitude) {
    at.bias = std::exchange(at.size, at.size + 2);
  } else if (request.level) {
    at.slope = std::exchange(at.size, at.size + 2);
    at.deck = std::exchange(at.size, at.size + 2);
  }
  if (request.headings_known) {
    at.north = at.size++;
    at.stops = std::exchange(at.size, at.size + static_cast<int>(request.made->stops.size()));
  }
  return at;
}

VectorXd prior_sds(const BoundRequest& request, const Places& at) {
  VectorXd sd = VectorXd::Constant(at.size, 1.0);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      // A shared element stands for the mean of two drawn independently.
      const double shared = i != j && at.matrix[i][j] == at.matrix[j][i] ? std::sqrt(0.5) : 1.0;
      sd[at.matrix[i][j]] = i == j ? request.priors.iron.diagonal_sigma
                                   : shared * request.priors.iron.off_diagonal_sigma;
    }
  }
  sd.segment(at.offset, 3).setConstant(request.priors.iron.hard_iron_sigma_uT);
  sd[at.field] = request.model.sigma_horizontal_uT;
  sd[at.field + 1] = request.model.sigma_down_uT;
  if (at.slope >= 0) sd.segment(at.slope, 2).setConstant(request.priors.slope_deg);
  if (at.deck >= 0) sd.segment(at.deck, 2).setConstant(request.priors.deck_deg);
  if (at.bias >= 0) sd.segment(at.bias, 2).setConstant(request.priors.logged_tilt_deg);
  if (at.north >= 0) {
    sd[at.north] = request.priors.north_deg;
    sd.tail(at.size - at.stops).setConstant(request.priors.placement_deg);
  }
  return sd;
}

/// How the sensor is turned about the vertical is not taken for known: half the difference of the
/// two horizontal off-diagonal elements gets `yaw_rad` in place of what two draws would give it.
void open_yaw(const BoundRequest& request, const Places& at, MatrixXd& information) {
  const int a = at.matrix[0][1];
  const int b = at.matrix[1][0];
  if (a == b) return;
  const double mean_sd = request.priors.iron.off_diagonal_sigma * std::sqrt(0.5);
  const double mean = 0.25 / (mean_sd * mean_sd);
  const double turn = 0.25 / (request.priors.yaw_rad * request.priors.yaw_rad);
  information(a, a) = information(b, b) = mean + turn;
  information(a, b) = information(b, a) = mean - turn;
}

VectorXd parameters_at_truth(const BoundRequest& request, const Places& at,
                             const GaugedTruth& truth) {
  VectorXd theta = VectorXd::Zero(at.size);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) theta[at.matrix[i][j]] = truth.matrix[i][j];
  }
  theta.segment(at.offset, 3) = to_eigen(truth.sensor.hard_iron_uT);
  theta[at.field] = truth.sensor.true_field.horizontal_uT;
  theta[at.field + 1] = truth.sensor.true_field.down_uT;
  const simulate::SensorTruth& sensor = request.made->truth;
  if (at.slope >= 0) theta.segment(at.slope, 2) << sensor.slope.north_deg, sensor.slope.east_deg;
  if (at.deck >= 0) theta.segment(at.deck, 2) << sensor.deck.roll_deg, sensor.deck.pitch_deg;
  return theta;  // bias, north and stops: deviations from the truth, zero
}

/// One sample's view: its attitude and what is free in it.
struct Sample {
  double heading_deg = 0.0, pitch_deg = 0.0, roll_deg = 0.0;
  int stop = -1;
};

/// Rotation into airframe axes with the sample's own small turns `own` (deg): heading, pitch, roll.
Matrix33 attitude_matrix(const Places& at, const VectorXd& theta, const Sample& s,
                         const Eigen::Vector3d& own) {
  double heading = s.heading_deg + own[0];
  if (at.north >= 0 && s.stop >= 0) heading += theta[at.north] + theta[at.stops + s.stop];
  if (at.slope >= 0) {
    return to_eigen(body_from_earth_on_ground(heading, {theta[at.slope], theta[at.slope + 1]},
                                              {theta[at.deck], theta[at.deck + 1]}));
  }
  return to_eigen(body_from_earth({heading, s.pitch_deg + own[1], s.roll_deg + own[2]}));
}

Eigen::Vector3d reading(const Places& at, const VectorXd& theta, const Matrix33& iron,
                        const Matrix33& Q, const Sample& s, const Eigen::Vector3d& own) {
  const Eigen::Vector3d earth{theta[at.field], 0.0, theta[at.field + 1]};
  return iron * (Q * (attitude_matrix(at, theta, s, own) * earth)) + theta.segment<3>(at.offset);
}

Matrix33 iron_of(const Places& at, const VectorXd& theta) {
  Matrix33 M;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      M(static_cast<Index>(i), static_cast<Index>(j)) = theta[at.matrix[i][j]];
    }
  }
  return M.inverse();
}

/// Orthonormal rows that see nothing of the columns of L.
MatrixXd complement(const MatrixXd& L) {
  const Index d = L.rows();
  if (L.cols() == 0) return MatrixXd::Identity(d, d);
  Eigen::ColPivHouseholderQR<MatrixXd> qr(L);
  qr.setThreshold(1e-7);  // the derivatives are numerical: good to about 1e-9
  const MatrixXd q = qr.householderQ() * MatrixXd::Identity(d, d);
  return q.rightCols(d - qr.rank()).transpose();
}

std::vector<int> stop_of_samples(const BoundRequest& request) {
  std::vector<int> out(request.made->recording.size(), -1);
  if (!request.headings_known) return out;
  for (std::size_t k = 0; k < out.size(); ++k) {
    for (std::size_t s = 0; s < request.made->stops.size(); ++s) {
      const auto& stop = request.made->stops[s];
      const double t = request.made->recording.time_s[k];
      if (t >= stop.from_s && t <= stop.to_s) out[k] = static_cast<int>(s);
    }
  }
  return out;
}

ColouredWhitener make_whitener(const simulate::SensorTruth& truth, Index columns) {
  const Index d = truth.attitude ? 5 : 3;
  VectorXd slow = VectorXd::Constant(d, truth.noise.slow_sigma_uT);
  VectorXd time = VectorXd::Constant(d, truth.noise.slow_correlation_time_s);
  // Rounding to a quantum q on a moving signal: like independent noise of variance q^2/12.
  VectorXd white = VectorXd::Constant(
      d, std::hypot(truth.noise.white_sigma_uT, truth.quantum_uT / std::sqrt(12.0)));
  if (truth.attitude) {
    slow.tail(2).setConstant(truth.attitude->slow_sigma_deg);
    time.tail(2).setConstant(truth.attitude->slow_correlation_time_s);
    white.tail(2).setConstant(truth.attitude->white_sigma_deg);
  }
  return {slow, time, white, columns};
}

}  // namespace

GaugedTruth gauged(const simulate::SensorTruth& truth, Gauge gauge) {
  const Matrix33 M = to_eigen(truth.soft_iron).inverse();
  Matrix33 Q = Matrix33::Identity();
  if (gauge == Gauge::symmetric) {
    // Q M symmetric positive: M = U s V', Q = V U'.
    const Eigen::JacobiSVD<Matrix33> svd(M, Eigen::ComputeFullU | Eigen::ComputeFullV);
    Q = svd.matrixV() * svd.matrixU().transpose();
  } else if (gauge == Gauge::symmetric_horizontal) {
    const Eigen::JacobiSVD<Eigen::Matrix2d, Eigen::NoQRPreconditioner> svd(
        Eigen::Matrix2d(M.topLeftCorner<2, 2>()), Eigen::ComputeFullU | Eigen::ComputeFullV);
    Q.topLeftCorner<2, 2>() = svd.matrixV() * svd.matrixU().transpose();
  }
  GaugedTruth out;
  out.turn = from_eigen(Q);
  out.matrix = from_eigen(Q * M);
  out.sensor = truth;
  out.sensor.soft_iron = from_eigen((Q * M).inverse());
  return out;
}

SensorBound::SensorBound(const BoundRequest& request)
    : truth_{gauged(request.made->truth, request.gauge)} {
  build(request);
}

void SensorBound::build(const BoundRequest& request) {
  const simulate::SimulatedRecording& made = *request.made;
  const bool attitude = made.truth.attitude.has_value();
  const Places at = places_for(request);
  matrix_index_ = at.matrix;
  offset_index_ = at.offset;
  field_index_ = at.field;
  prior_sd_ = prior_sds(request, at);
  const VectorXd theta = parameters_at_truth(request, at, truth_);
  const Matrix33 Q = to_eigen(truth_.turn);
  const Matrix33 iron = iron_of(at, theta);

  // Each parameter a little up and down; iron alone does not depend on the sample.
  constexpr double kStep = 1e-4;
  std::vector<VectorXd> up, down;
  std::vector<Matrix33> iron_up, iron_down;
  for (int p = 0; p < at.size; ++p) {
    up.push_back(theta);
    down.push_back(theta);
    up.back()[p] += kStep;
    down.back()[p] -= kStep;
    iron_up.push_back(iron_of(at, up.back()));
    iron_down.push_back(iron_of(at, down.back()));
  }

  const std::vector<int> stop = stop_of_samples(request);
  ColouredWhitener whitener = make_whitener(made.truth, at.size);
  const Index d = attitude ? 5 : 3;
  MatrixXd prior = prior_sd_.cwiseAbs2().cwiseInverse().asDiagonal();
  open_yaw(request, at, prior);
  MatrixXd information = MatrixXd::Zero(at.size, at.size);
  for (std::size_t k = 0; k < made.recording.size(); ++k) {
    if (request.clean_only && made.disturbed[k]) continue;
    const auto a = simulate::attitude_of(made.body_from_earth[k]);
    const Sample s{a.heading_deg, a.pitch_deg, a.roll_deg, stop[k]};
    MatrixXd J = MatrixXd::Zero(d, at.size);
    for (int p = 0; p < at.size; ++p) {
      if (at.stops >= 0 && p >= at.stops && p != at.stops + s.stop) continue;
      const auto index = static_cast<std::size_t>(p);
      const Eigen::Vector3d none = Eigen::Vector3d::Zero();
      J.col(p).head<3>() = (reading(at, up[index], iron_up[index], Q, s, none) -
                            reading(at, down[index], iron_down[index], Q, s, none)) /
                           (2.0 * kStep);
    }
    if (at.bias >= 0) J.block<2, 2>(3, at.bias).setIdentity();
    // What is free in the sample: heading unless known; pitch and roll unless level.
    MatrixXd L(d, 0);
    for (Index free = 0; free < 3; ++free) {
      if (free == 0 && s.stop >= 0) continue;
      if (free > 0 && at.slope >= 0) continue;
      Eigen::Vector3d own = Eigen::Vector3d::Zero();
      own[free] = kStep;
      VectorXd column = VectorXd::Zero(d);
      column.head<3>() =
          (reading(at, theta, iron, Q, s, own) - reading(at, theta, iron, Q, s, -own)) /
          (2.0 * kStep);
      if (attitude && free > 0) column[5 - free] = 1.0;  // roll in row 3, pitch in row 4
      L.conservativeResize(Eigen::NoChange, L.cols() + 1);
      L.rightCols<1>() = column;
    }
    const MatrixXd N = complement(L);
    const MatrixXd white = whitener.step(made.recording.time_s[k], N, N * J);
    information.noalias() += white.transpose() * white;
  }
  // Scaled by the priors, else microtesla and matrix elements make the inverse lose digits.
  const auto inverse = [&](const MatrixXd& sum) -> MatrixXd {
    const MatrixXd scaled = prior_sd_.asDiagonal() * sum * prior_sd_.asDiagonal();
    return prior_sd_.asDiagonal() * scaled.ldlt().solve(MatrixXd::Identity(at.size, at.size)) *
           prior_sd_.asDiagonal();
  };
  covariance_ = inverse(information + prior);
  // Matrix and offset stand first.
  prior.topLeftCorner(at.field, at.field) /= 25.0;
  covariance_wide_ = inverse(information + prior);
}

bool SensorBound::carried(int p) const {
  return std::sqrt(covariance_wide_(p, p)) > 1.5 * std::sqrt(covariance_(p, p));
}

std::array<bool, 3> SensorBound::offset_carried() const {
  return {carried(offset_index_), carried(offset_index_ + 1), carried(offset_index_ + 2)};
}

std::array<std::array<bool, 3>, 3> SensorBound::matrix_carried() const {
  std::array<std::array<bool, 3>, 3> out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out[i][j] = carried(matrix_index_[i][j]);
  }
  return out;
}

double SensorBound::sd_of(const VectorXd& gradient) const {
  return std::sqrt(gradient.dot(covariance_ * gradient));
}

Vector3 SensorBound::offset_sd_uT() const {
  Vector3 out{};
  for (int i = 0; i < 3; ++i) {
    out[static_cast<std::size_t>(i)] = std::sqrt(covariance_(offset_index_ + i, offset_index_ + i));
  }
  return out;
}

Matrix3 SensorBound::matrix_sd() const {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      out[i][j] = std::sqrt(covariance_(matrix_index_[i][j], matrix_index_[i][j]));
    }
  }
  return out;
}

Matrix3 SensorBound::matrix_to_prior() const {
  Matrix3 out = matrix_sd();
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out[i][j] /= prior_sd_[matrix_index_[i][j]];
  }
  return out;
}

double SensorBound::after_sd_deg(double heading_deg) const {
  constexpr double kStep = 1e-6;
  VectorXd gradient = VectorXd::Zero(covariance_.rows());
  const auto error = [&](const simulate::Correction& correction) {
    return simulate::heading_error_deg(truth_.sensor, correction, {heading_deg, 0.0, 0.0});
  };
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      simulate::Correction up{truth_.matrix, truth_.sensor.hard_iron_uT};
      simulate::Correction down = up;
      up.matrix[i][j] += kStep;
      down.matrix[i][j] -= kStep;
      gradient[matrix_index_[i][j]] += (error(up) - error(down)) / (2.0 * kStep);
    }
    simulate::Correction up{truth_.matrix, truth_.sensor.hard_iron_uT};
    simulate::Correction down = up;
    up.offset_uT[i] += kStep;
    down.offset_uT[i] -= kStep;
    gradient[offset_index_ + static_cast<int>(i)] = (error(up) - error(down)) / (2.0 * kStep);
  }
  return sd_of(gradient);
}

double SensorBound::before_sd_deg(double heading_deg) const {
  constexpr double kStep = 1e-6;
  VectorXd gradient = VectorXd::Zero(covariance_.rows());
  const auto error = [&](const Matrix3& matrix, const Vector3& offset, double H, double Z) {
    simulate::SensorTruth sensor = truth_.sensor;
    sensor.soft_iron = simulate::inverted(matrix);
    sensor.hard_iron_uT = offset;
    sensor.true_field.horizontal_uT = H;
    sensor.true_field.down_uT = Z;
    return simulate::heading_error_deg(sensor, {}, {heading_deg, 0.0, 0.0});
  };
  const double H = truth_.sensor.true_field.horizontal_uT;
  const double Z = truth_.sensor.true_field.down_uT;
  const Vector3 h = truth_.sensor.hard_iron_uT;
  const auto slope = [&](double up, double down) {
    return std::remainder(up - down, 360.0) / (2.0 * kStep);
  };
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      Matrix3 up = truth_.matrix;
      Matrix3 down = truth_.matrix;
      up[i][j] += kStep;
      down[i][j] -= kStep;
      gradient[matrix_index_[i][j]] += slope(error(up, h, H, Z), error(down, h, H, Z));
    }
    Vector3 up = h;
    Vector3 down = h;
    up[i] += kStep;
    down[i] -= kStep;
    gradient[offset_index_ + static_cast<int>(i)] =
        slope(error(truth_.matrix, up, H, Z), error(truth_.matrix, down, H, Z));
  }
  gradient[field_index_] =
      slope(error(truth_.matrix, h, H + kStep, Z), error(truth_.matrix, h, H - kStep, Z));
  gradient[field_index_ + 1] =
      slope(error(truth_.matrix, h, H, Z + kStep), error(truth_.matrix, h, H, Z - kStep));
  return sd_of(gradient);
}

}  // namespace qn::accuracy
