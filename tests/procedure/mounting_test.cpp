// SPDX-License-Identifier: Apache-2.0
#include "procedure/mounting.h"

#include <array>
#include <catch2/catch.hpp>

using qn::Angle;
using qn::Matrix3;
using qn::mounting_from_angles;
using qn::mounting_from_axes;
using qn::SignedAxis;
using qn::Vector3;

namespace {

constexpr Vector3 kX{1, 0, 0};
constexpr Vector3 kY{0, 1, 0};
constexpr Vector3 kZ{0, 0, 1};

void check_same(const Vector3& found, const Vector3& expected) {
  for (std::size_t i = 0; i < 3; ++i) CHECK(found[i] == Approx(expected[i]).margin(1e-12));
}

auto by_deg(double yaw, double pitch, double roll) {
  return mounting_from_angles(Angle::degrees(yaw), Angle::degrees(pitch), Angle::degrees(roll));
}

}  // namespace

TEST_CASE("yaw 90: the sensor's x points to the right of the airframe, its y aft",
          "[procedure][closed-form]") {
  const auto mounting = by_deg(90, 0, 0);
  check_same(mounting.apply(kX), {0, 1, 0});
  check_same(mounting.apply(kY), {-1, 0, 0});
  check_same(mounting.apply(kZ), {0, 0, 1});
}

TEST_CASE("pitch 90: the sensor's x points up, its z forward", "[procedure][closed-form]") {
  const auto mounting = by_deg(0, 90, 0);
  check_same(mounting.apply(kX), {0, 0, -1});
  check_same(mounting.apply(kY), {0, 1, 0});
  check_same(mounting.apply(kZ), {1, 0, 0});
}

TEST_CASE("roll 90: the sensor's y points down, its z to the left", "[procedure][closed-form]") {
  const auto mounting = by_deg(0, 0, 90);
  check_same(mounting.apply(kX), {1, 0, 0});
  check_same(mounting.apply(kY), {0, 0, 1});
  check_same(mounting.apply(kZ), {0, -1, 0});
}

TEST_CASE("yaw first, then pitch about the new y, then roll about the new x",
          "[procedure][closed-form]") {
  // After yaw 90 x is right and y aft. Pitch 90 about y (x up): x up, z right. Roll 90 about x
  // takes y to where z was, right, and z to minus where y was, forward.
  const auto mounting = by_deg(90, 90, 90);
  check_same(mounting.apply(kX), {0, 0, -1});
  check_same(mounting.apply(kY), {0, 1, 0});
  check_same(mounting.apply(kZ), {1, 0, 0});
}

TEST_CASE("the angles make a rotation: it turns back by its transpose",
          "[procedure][closed-form]") {
  const Matrix3 r = by_deg(33, -12, 71).rows();
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      const double dot = r[i][0] * r[j][0] + r[i][1] * r[j][1] + r[i][2] * r[j][2];
      CHECK(dot == Approx(i == j ? 1.0 : 0.0).margin(1e-12));
    }
  }
}

TEST_CASE("axes by name: forward is the sensor's minus y, right its x",
          "[procedure][closed-form]") {
  // x=-y,y=x,z=z: a reading of (1, 2, 3) is -2 forward, 1 right, 3 down.
  const auto mounting = mounting_from_axes({{{1, -1}, {0, 1}, {2, 1}}});
  REQUIRE(mounting);
  check_same(mounting->apply({1, 2, 3}), {-2, 1, 3});
  // The same as turned by 90: the sensor's x points right.
  CHECK(mounting->apply(kX) == Vector3{0, 1, 0});
}

TEST_CASE("of the 48 ways to name three axes with signs, 24 are turns and 24 mirror",
          "[procedure][closed-form]") {
  const std::array<std::array<std::size_t, 3>, 6> orders{
      {{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {0, 2, 1}, {2, 1, 0}, {1, 0, 2}}};
  std::size_t accepted = 0;
  for (std::size_t order = 0; order < orders.size(); ++order) {
    for (unsigned signs = 0; signs < 8; ++signs) {
      std::array<SignedAxis, 3> axes{};
      int product = order < 3 ? 1 : -1;  // the first three are even permutations
      for (std::size_t i = 0; i < 3; ++i) {
        axes[i] = {orders[order][i], (signs >> i & 1U) != 0U ? -1 : 1};
        product *= axes[i].sign;
      }
      const bool taken = mounting_from_axes(axes).has_value();
      CHECK(taken == (product > 0));
      if (taken) ++accepted;
    }
  }
  CHECK(accepted == 24);
}

TEST_CASE("an axis used twice is refused", "[procedure][closed-form]") {
  CHECK_FALSE(mounting_from_axes({{{0, 1}, {0, 1}, {2, 1}}}));
  CHECK_FALSE(mounting_from_axes({{{1, 1}, {1, -1}, {1, 1}}}));
}
