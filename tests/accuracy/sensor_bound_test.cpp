// SPDX-License-Identifier: Apache-2.0
#include "accuracy/sensor_bound.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "accuracy/coloured_whitener.h"

using namespace qn;
using namespace qn::accuracy;
using namespace qn::simulate;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

static LocalField field_20_45() { return {20.0, 45.0, 0.1, 0.15, {}, {}, "by hand"}; }

TEST_CASE("on a full sphere the offset is known to s sqrt(3/n)", "[accuracy][closed-form]") {
  // With the sensor's own scale free, g = u on a sphere and only u itself carries the offset: the
  // information on each offset axis is sum u_i^2 / s^2 = n / (3 s^2), and even terms (matrix) do
  // not mix with odd ones. Directions at random: 4000 of them are even to about 3 %.
  SensorTruth truth;
  truth.true_field = field_20_45();
  truth.noise.white_sigma_uT = 0.2;
  SimulatedRecording made = make_recording({AtRest{199.95, 0.0}, truth, {}, 1});
  REQUIRE(made.recording.size() == 4000);
  Random random{3};
  for (auto& R : made.body_from_earth) {
    R = product(about_axis(random.direction(), random.uniform(0, 3.14)),
                body_from_earth({random.uniform(0, 360),
                                 180 / 3.14159265 * std::asin(random.uniform(-1, 1)),
                                 random.uniform(-180, 180)}));
  }
  BoundRequest request;
  request.made = &made;
  request.model = field_20_45();
  const SensorBound bound{request};
  for (const double sd : bound.offset_sd_uT()) {
    CHECK(sd == Approx(0.2 * std::sqrt(3.0 / 4000)).epsilon(0.04));
  }
}

TEST_CASE("known headings on a level turn leave the offset s/sqrt(n) and placement its share",
          "[accuracy][closed-form]") {
  // Two parts by hand, both with everything else known exactly (tiny priors): 12 stations, no
  // slope, deck or H, Z error, M known. Then a reading axis is offset + noise: s / sqrt(n).
  SensorTruth truth;
  truth.true_field = field_20_45();
  truth.noise.white_sigma_uT = 0.2;
  Stations stations;
  stations.turn_s = 0.2;
  const SimulatedRecording made = make_recording({stations, truth, {}, 1});
  BoundRequest request;
  request.made = &made;
  request.model = field_20_45();
  request.model.sigma_horizontal_uT = request.model.sigma_down_uT = 1e-7;
  request.gauge = Gauge::none;
  request.level = request.headings_known = true;
  request.priors = {{1e-9, 1e-9, 20.0}, 1e-9, 1e-7, 1e-7, 1e-7, 1e-7, 1e-7};
  const double n = static_cast<double>(made.recording.size());
  CHECK(SensorBound{request}.offset_sd_uT()[2] == Approx(0.2 / std::sqrt(n)).epsilon(0.01));
  // A common north error of 0.3 degrees turns the whole field; nothing in the offset or in the
  // size of the field shows it, so the error after correction is the north error: with M free.
  request.priors.iron = {};
  request.priors.yaw_rad = 1.0;
  request.priors.north_deg = 0.3;
  for (const double heading : {0.0, 130.0}) {
    CHECK(SensorBound{request}.after_sd_deg(heading) == Approx(0.3).epsilon(0.02));
  }
}

TEST_CASE("a slope prior costs up to the slope times tan dip", "[accuracy][closed-form]") {
  // Ground tilted by e to the east, nothing logged, headings known exactly: the field along the
  // plane's east is Z sin e, so north on the plane turns by e Z / H = 0.5 * 45 / 20 = 1.125 degrees
  // whatever the heading; the slope to the north changes H only, which M takes up.
  SensorTruth truth;
  truth.true_field = field_20_45();
  truth.noise.white_sigma_uT = 0.01;
  const SimulatedRecording made = make_recording({Stations{}, truth, {}, 1});
  BoundRequest request;
  request.made = &made;
  request.model = field_20_45();
  request.model.sigma_horizontal_uT = request.model.sigma_down_uT = 1e-7;
  request.gauge = Gauge::none;
  request.level = request.headings_known = true;
  request.priors = {{}, 1.0, 0.5, 1e-7, 1e-7, 1e-7, 1e-7};
  // 1.125 from the yaw; second effects of the vertical coupling stay below a few per cent.
  CHECK(SensorBound{request}.after_sd_deg(45.0) == Approx(1.125).epsilon(0.05));
}

TEST_CASE("the whitener agrees with the full covariance matrix", "[accuracy][closed-form]") {
  // 40 samples, rows through changing directions; generalised least squares information J' C^-1 J
  // with C written out: C_kl = N_k diag(slow^2 exp(-|dt|/tau) + white^2 [k = l]) N_l'.
  Random random{5};
  const Index n = 40, columns = 4;
  VectorXd slow(3), tau(3), white(3);
  slow << 0.5, 0.7, 0.3;
  tau << 0.4, 1.0, 0.0;
  white << 0.1, 0.2, 0.3;
  std::vector<MatrixXd> N;
  VectorXd time(n);
  MatrixXd J(2 * n, columns);
  for (Index k = 0; k < n; ++k) {
    time[k] = 0.1 * static_cast<double>(k) + (k > 20 ? 1.0 : 0.0);
    N.push_back(MatrixXd::NullaryExpr(2, 3, [&] { return random.normal(); }));
    for (Index i = 0; i < 2 * columns; ++i) J(2 * k + i % 2, i / 2) = random.normal();
  }
  MatrixXd C = MatrixXd::Zero(2 * n, 2 * n);
  for (Index k = 0; k < n; ++k) {
    for (Index l = 0; l < n; ++l) {
      VectorXd c(3);
      for (Index i = 0; i < 3; ++i) {
        const double rho = k == l       ? 1.0
                           : tau[i] > 0 ? std::exp(-std::abs(time[k] - time[l]) / tau[i])
                                        : 0.0;
        c[i] = slow[i] * slow[i] * rho + (k == l ? white[i] * white[i] : 0.0);
      }
      C.block(2 * k, 2 * l, 2, 2) = N[static_cast<std::size_t>(k)] * c.asDiagonal() *
                                    N[static_cast<std::size_t>(l)].transpose();
    }
  }
  const MatrixXd wanted = J.transpose() * C.ldlt().solve(J);
  MatrixXd got = MatrixXd::Zero(columns, columns);
  ColouredWhitener whitener{slow, tau, white, columns};
  for (Index k = 0; k < n; ++k) {
    const MatrixXd w =
        whitener.step(time[k], N[static_cast<std::size_t>(k)], J.middleRows(2 * k, 2));
    got += w.transpose() * w;
  }
  CHECK((got - wanted).norm() < 1e-9 * wanted.norm());  // rounding of a 80x80 solve
}

TEST_CASE("the gauge makes the matrix symmetric and keeps what is seen",
          "[accuracy][closed-form]") {
  SensorTruth truth;
  truth.true_field = field_20_45();
  Random random{8};
  draw_iron({}, random, truth);
  const GaugedTruth all = gauged(truth, Gauge::symmetric);
  const GaugedTruth level = gauged(truth, Gauge::symmetric_horizontal);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j)
      CHECK(all.matrix[i][j] == Approx(all.matrix[j][i]).margin(1e-12));
  }
  CHECK(level.matrix[0][1] == Approx(level.matrix[1][0]).margin(1e-12));
  CHECK(level.matrix[2][1] == Approx(inverted(truth.soft_iron)[2][1]).margin(1e-12));
  // M'M is the same for both: it is all that the size of the field can show.
  const Matrix3 a = product(transposed(all.matrix), all.matrix);
  const Matrix3 b = product(transposed(level.matrix), level.matrix);
  const Matrix3 m = inverted(truth.soft_iron);
  const Matrix3 c = product(transposed(m), m);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      CHECK(a[i][j] == Approx(c[i][j]).margin(1e-12));
      CHECK(b[i][j] == Approx(c[i][j]).margin(1e-12));
    }
  }
}

TEST_CASE(
    "on a level turn the vertical offset is carried by the iron's spread, not the horizontal "
    "coupling",
    "[accuracy][closed-form]") {
  // h_z and M_zz Z only show their sum; the in-plane ellipse fixes M_xy by itself. On a full sphere
  // nothing is carried.
  SensorTruth truth;
  truth.true_field = field_20_45();
  truth.noise.white_sigma_uT = 0.05;
  SimulatedRecording made = make_recording({Swing{}, truth, {}, 1});
  BoundRequest request;
  request.made = &made;
  request.model = field_20_45();
  request.gauge = Gauge::symmetric_horizontal;
  request.level = true;
  const SensorBound level{request};
  CHECK(level.offset_carried()[2]);
  CHECK_FALSE(level.matrix_carried()[0][1]);
  made = make_recording({Tumble{}, truth, {}, 1});
  request.gauge = Gauge::symmetric;
  request.level = false;
  const SensorBound sphere{request};
  for (const bool carried : sphere.offset_carried()) CHECK_FALSE(carried);
}
