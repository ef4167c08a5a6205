// SPDX-License-Identifier: Apache-2.0
#include "simulate/sensor_truth.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "simulate/heading_truth.h"
#include "simulate/noise.h"

using namespace qn;
using namespace qn::simulate;

static SensorTruth truth_20_45() {
  SensorTruth truth;
  truth.true_field = {20.0, 45.0, 0.1, 0.2, {}, {}, "by hand"};
  return truth;
}

TEST_CASE("raw is soft iron times field plus hard iron", "[simulate][closed-form]") {
  SensorTruth truth = truth_20_45();
  truth.soft_iron = {{{1.1, 0.2, 0}, {0, 0.9, 0}, {0, 0.1, 1}}};
  truth.hard_iron_uT = {1, 2, 3};
  // Heading east: body field (0, -20, 45). x: 0.2 * -20 + 1 = -3; y: 0.9 * -20 + 2 = -16;
  // z: 0.1 * -20 + 45 + 3 = 46.
  const Vector3 raw = clean_raw_uT(truth, body_from_earth({90, 0, 0}));
  CHECK(raw[0] == Approx(-3).margin(1e-12));
  CHECK(raw[1] == Approx(-16).margin(1e-12));
  CHECK(raw[2] == Approx(46).margin(1e-12));
}

TEST_CASE("heading error of a sideways magnet", "[simulate][closed-form]") {
  // 2 uT to the right. Heading north: level (20, 2), indicated atan2(-2, 20) = -5.710593 degrees.
  // Heading east: level (0, -18): indicated 90, error 0. Worst is asin(2/20) = 5.739170, where the
  // magnet stands square to the resultant (published-values.md and methods.md section 2).
  SensorTruth truth = truth_20_45();
  truth.hard_iron_uT = {0, 2, 0};
  CHECK(heading_error_deg(truth, {}, {0, 0, 0}) == Approx(-5.710593).margin(1e-6));
  CHECK(heading_error_deg(truth, {}, {90, 0, 0}) == Approx(0).margin(1e-12));
  CHECK(heading_error_deg(truth, {}, {180, 0, 0}) == Approx(5.710593).margin(1e-6));
  const WorstError worst = worst_heading_error(truth, {}, 0, 0);
  CHECK(worst.size_deg == Approx(5.739170).margin(1e-6));
  // Square to the resultant: its sideways part -20 sin psi + 2 is zero, so sin psi = 0.1, which is
  // 5.739170 or 174.260830 degrees.
  const double off = std::min(std::abs(worst.at_heading_deg - 5.739170),
                              std::abs(worst.at_heading_deg - 174.260830));
  CHECK(off < 0.01);  // a maximum is flat: the size is sharp, the place is not
}

TEST_CASE("in a bank a vertical magnet turns the heading", "[simulate][closed-form]") {
  // 3 uT down in body axes, bank 30 right, heading north: in level axes it is (0, -3 sin 30, ...)
  // since body down leans to the left: level field (20, -1.5), indicated atan2(1.5, 20) = 4.289153.
  SensorTruth truth = truth_20_45();
  truth.hard_iron_uT = {0, 0, 3};
  CHECK(heading_error_deg(truth, {}, {0, 0, 30}) == Approx(4.289153).margin(1e-6));
  CHECK(heading_error_deg(truth, {}, {0, 0, 0}) == Approx(0).margin(1e-12));
}

TEST_CASE("the perfect correction leaves nothing at any attitude", "[simulate][synthetic]") {
  Random random{3};
  SensorTruth truth = truth_20_45();
  draw_iron({}, random, truth);
  const Correction perfect = perfect_correction(truth);
  for (const double pitch : {-15.0, 0.0, 15.0}) {
    CHECK(worst_heading_error(truth, perfect, pitch, 30).size_deg < 1e-9);  // rounding
  }
}

TEST_CASE("the drawn field moves by the model's sigmas", "[simulate][closed-form]") {
  // 20 000 draws: sd of a mean sigma/141, sd of an sd sigma/200. Four of them each.
  Random random{11};
  const LocalField model{20, 45, 0.1, 0.2, {}, {}, ""};
  double h = 0, hh = 0, z = 0, zz = 0;
  const int n = 20'000;
  for (int i = 0; i < n; ++i) {
    const LocalField f = draw_true_field(model, random);
    h += (f.horizontal_uT - 20) / n;
    hh += std::pow(f.horizontal_uT - 20, 2) / n;
    z += (f.down_uT - 45) / n;
    zz += std::pow(f.down_uT - 45, 2) / n;
  }
  CHECK(std::abs(h) < 0.1 * 0.0284);
  CHECK(std::abs(z) < 0.2 * 0.0284);
  CHECK(std::abs(std::sqrt(hh) - 0.1) < 0.1 * 0.02);
  CHECK(std::abs(std::sqrt(zz) - 0.2) < 0.2 * 0.02);
}

TEST_CASE("noise has the size, memory and independence of axes it was asked for",
          "[simulate][closed-form]") {
  // AR(1) with tau 0.5 s at 20 Hz: lag-one correlation exp(-0.1) = 0.904837. White 0.03, slow 0.04:
  // rms 0.05; lag-one covariance 0.0016 * 0.904837 = 0.00144774. The effective count is
  // N (1-phi)/(1+phi) = 400 000 / 20 = 20 000, so 1 % is one sd of a variance.
  Noise noise{{0.03, 0.04, 0.5}, Random{21}};
  const int n = 400'000;
  double square = 0, lag = 0, cross = 0;
  Vector3 last{};
  for (int k = 0; k < n; ++k) {
    const Vector3 v = noise.at(0.05 * k);
    square += v[0] * v[0] / n;
    lag += v[0] * last[0] / n;
    cross += v[0] * v[1] / n;
    last = v;
  }
  CHECK(std::sqrt(square) == Approx(0.05).epsilon(0.02));
  CHECK(lag == Approx(0.00144774).epsilon(0.04));
  CHECK(std::abs(cross) < 4 * 0.0016 / std::sqrt(20'000.0) + 4 * 0.0025 / std::sqrt(400'000.0));
}

TEST_CASE("noise forgets across a gap", "[simulate][closed-form]") {
  // After a gap of 20 correlation times the correlation is 2e-9: many short runs must show none.
  // 4000 pairs: sd of a correlation is 1/63; four of them.
  double product_sum = 0;
  for (std::uint64_t seed = 0; seed < 4000; ++seed) {
    Noise noise{{0, 1, 0.5}, Random{seed}};
    const double a = noise.at(0)[0];
    product_sum += a * noise.at(10)[0] / 4000;
  }
  CHECK(std::abs(product_sum) < 0.064);
}
