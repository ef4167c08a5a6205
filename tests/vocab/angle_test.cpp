// SPDX-License-Identifier: Apache-2.0
#include "vocab/angle.h"

#include <catch2/catch.hpp>
#include <numbers>
#include <type_traits>

#include "vocab/length.h"

using qn::Angle;
using qn::Length;

TEST_CASE("an angle given in degrees comes out digit for digit", "[vocab][closed-form]") {
  for (const double deg : {0.1, -3.2, 359.9, 1e-300, 12.345678901234567}) {
    CHECK(Angle::degrees(deg).in_deg() == deg);
  }
}

TEST_CASE("half a turn is pi radians", "[vocab][closed-form]") {
  CHECK(Angle::degrees(180.0).in_rad() == Approx(std::numbers::pi).epsilon(1e-15));
  CHECK(Angle::radians(std::numbers::pi / 6.0).in_deg() == Approx(30.0).epsilon(1e-15));
}

TEST_CASE("angles are differences: they add up and do not wrap", "[vocab][closed-form]") {
  CHECK((Angle::degrees(350) + Angle::degrees(20)).in_deg() == 370.0);
  CHECK((Angle::degrees(10) - Angle::degrees(20)).in_deg() == -10.0);
  CHECK((-Angle::degrees(10)).in_deg() == -10.0);
  CHECK((2.0 * Angle::degrees(200)).in_deg() == 400.0);
  CHECK(Angle::degrees(-1) < Angle::degrees(1));
  CHECK(Angle{} == Angle::degrees(0));
}

TEST_CASE("a bare number is not an angle or a length", "[vocab][closed-form]") {
  static_assert(!std::is_convertible_v<double, Angle>);
  static_assert(!std::is_constructible_v<Angle, double>);
  static_assert(!std::is_convertible_v<Angle, double>);
  static_assert(!std::is_convertible_v<double, Length>);
  static_assert(!std::is_constructible_v<Length, double>);
  SUCCEED("checked by the compiler");
}

TEST_CASE("a foot is 0.3048 m", "[vocab][published]") {
  // International foot, exact since 1 July 1959 (NIST SP 811, appendix B.8).
  CHECK(Length::feet(1000.0).in_m() == Approx(304.8).epsilon(1e-15));
  CHECK((Length::metres(3) - Length::metres(1)).in_m() == 2.0);
  CHECK((Length::metres(3) + Length::metres(1)).in_m() == 4.0);
}
