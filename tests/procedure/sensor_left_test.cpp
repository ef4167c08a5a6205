// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "procedure/sensor_left_internal.h"

using namespace qn;
using namespace qn::sensor_model;

namespace {

constexpr double kRad = std::numbers::pi / 180.0;

LeftOver perfect(double horizontal, double down) {
  return {{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}, {0, 0, 0}, horizontal, down};
}

// The definition, one heading at a time: corrected reading, levelled, against the true heading.
double by_definition_rad(const LeftOver& left, std::size_t headings, double roll, double pitch) {
  double worst = 0.0;
  for (std::size_t i = 0; i < headings; ++i) {
    const double heading =
        2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(headings);
    const Vector3 field = earth_in_body(left.horizontal_uT, left.down_uT, heading, roll, pitch);
    Vector3 x = left.shift_uT;
    for (std::size_t r = 0; r < 3; ++r) {
      for (std::size_t c = 0; c < 3; ++c) x[r] += left.gain[r][c] * field[c];
    }
    const double error =
        std::remainder(heading_of_rad(x, roll, pitch) - heading, 2.0 * std::numbers::pi);
    worst = std::max(worst, std::abs(error));
  }
  return worst;
}

}  // namespace

TEST_CASE("nothing left gives no heading error at any attitude", "[procedure][closed-form]") {
  const auto worst = worst_left_rad({perfect(20, 45)}, 36, 30 * kRad, -15 * kRad);
  CHECK(worst.at(0) == Approx(0.0).margin(1e-14));
}

TEST_CASE("a level field of 349 nT left at H = 20 uT costs one degree",
          "[procedure][closed-form]") {
  // asin(b / H) = 1 degree for b = 0.349 uT, worst where the field meets the heading at 91 degrees.
  LeftOver left = perfect(20, 45);
  left.shift_uT = {20.0 * std::sin(1 * kRad), 0, 0};
  CHECK(worst_left_rad({left}, 360, 0, 0).at(0) == Approx(1 * kRad).epsilon(1e-6));
}

TEST_CASE("the largest error equals its definition, at tilt and beyond a lost heading",
          "[procedure][synthetic]") {
  LeftOver skew{{{{1.02, 0.03, -0.01}, {-0.02, 0.97, 0.04}, {0.01, -0.03, 1.01}}},
                {0.8, -1.1, 2.0},
                18.0,
                44.0};
  LeftOver lost = skew;
  lost.shift_uT = {30.0, 4.0, 0.0};
  for (const double roll : {0.0, 30.0, -30.0}) {
    for (const double pitch : {0.0, 15.0, -15.0}) {
      const auto worst = worst_left_rad({skew, lost}, 36, roll * kRad, pitch * kRad);
      CHECK(worst[0] == Approx(by_definition_rad(skew, 36, roll * kRad, pitch * kRad)));
      CHECK(worst[1] == Approx(by_definition_rad(lost, 36, roll * kRad, pitch * kRad)));
    }
  }
}
