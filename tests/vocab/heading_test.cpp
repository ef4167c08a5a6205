// SPDX-License-Identifier: Apache-2.0
#include "vocab/heading.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <type_traits>

using qn::Angle;
using qn::CompassHeading;
using qn::Deviation;
using qn::MagneticHeading;
using qn::TrueHeading;
using qn::Variation;
using qn::wrap_180_deg;
using qn::wrap_360_deg;

namespace {

template <class A, class B>
concept Subtractable = requires(A a, B b) {
  a - b;
};
template <class A, class B>
concept Addable = requires(A a, B b) {
  a + b;
};
template <class A, class B>
concept Comparable = requires(A a, B b) {
  a == b;
};
template <class A>
concept MakesTrue = requires(A heading, Variation variation) {
  to_true(heading, variation);
};

// What must not compile: a heading is a point, and its north is part of its type.
static_assert(Subtractable<TrueHeading, TrueHeading>);
static_assert(!Subtractable<TrueHeading, MagneticHeading>);
static_assert(!Subtractable<MagneticHeading, TrueHeading>);
static_assert(!Subtractable<MagneticHeading, CompassHeading>);
static_assert(Addable<TrueHeading, Angle>);
static_assert(!Addable<TrueHeading, TrueHeading>);
static_assert(!Addable<TrueHeading, double>);
static_assert(!Comparable<TrueHeading, MagneticHeading>);
static_assert(!std::is_convertible_v<double, TrueHeading>);
static_assert(!std::is_constructible_v<TrueHeading, MagneticHeading>);
// A compass heading needs a deviation, and only then a variation.
static_assert(MakesTrue<MagneticHeading>);
static_assert(!MakesTrue<CompassHeading>);

double difference_deg(double a, double b) {
  return (MagneticHeading::degrees(a) - MagneticHeading::degrees(b)).in_deg();
}

}  // namespace

TEST_CASE("headings wrap to [0, 360)", "[vocab][closed-form]") {
  CHECK(wrap_360_deg(0.0) == 0.0);
  CHECK(wrap_360_deg(360.0) == 0.0);
  CHECK(wrap_360_deg(-360.0) == 0.0);
  CHECK(wrap_360_deg(720.0) == 0.0);
  CHECK(wrap_360_deg(180.0) == 180.0);
  CHECK(wrap_360_deg(-180.0) == 180.0);
  CHECK(wrap_360_deg(-90.0) == 270.0);
  CHECK(wrap_360_deg(359.5) == 359.5);
  CHECK(wrap_360_deg(std::nextafter(360.0, 0.0)) < 360.0);
}

TEST_CASE("no heading is negative zero or 360, however small the step below north",
          "[vocab][closed-form]") {
  for (const double deg : {-0.0, -360.0, -720.0}) {
    CHECK(wrap_360_deg(deg) == 0.0);
    CHECK_FALSE(std::signbit(wrap_360_deg(deg)));
  }
  // -1e-20 + 360 rounds to 360, which is not a heading.
  for (const double deg : {-1e-20, -1e-300, -5e-324}) {
    CHECK(wrap_360_deg(deg) == 0.0);
    CHECK_FALSE(std::signbit(wrap_360_deg(deg)));
  }
}

TEST_CASE("differences go the shortest way round, in (-180, 180]", "[vocab][closed-form]") {
  CHECK(difference_deg(10, 350) == 20.0);
  CHECK(difference_deg(350, 10) == -20.0);
  CHECK(difference_deg(180, 0) == 180.0);
  CHECK(difference_deg(0, 180) == 180.0);  // never -180
  CHECK(difference_deg(270, 90) == 180.0);
  CHECK(difference_deg(0, 181) == 179.0);
  CHECK(difference_deg(360, 0) == 0.0);
  CHECK(wrap_180_deg(180.0) == 180.0);
  CHECK(wrap_180_deg(-180.0) == 180.0);
  CHECK(wrap_180_deg(540.0) == 180.0);
  CHECK(wrap_180_deg(-540.0) == 180.0);
  CHECK(wrap_180_deg(-1e-20) == -1e-20);
}

TEST_CASE("a heading turned by an angle stays on the rose", "[vocab][closed-form]") {
  CHECK((TrueHeading::degrees(350) + Angle::degrees(20)).in_deg() == 10.0);
  CHECK((TrueHeading::degrees(10) + Angle::degrees(-20)).in_deg() == 350.0);
  CHECK(TrueHeading::degrees(370) == TrueHeading::degrees(10));
}

TEST_CASE("east deviation and east variation are added on the way to true north",
          "[vocab][published]") {
  // Handbook of Magnetic Compass Adjustment (2004), "correcting": compass to true, east is added.
  const Deviation five_east{Angle::degrees(5)};
  const Variation three_west{Angle::degrees(-3)};
  const MagneticHeading magnetic = to_magnetic(CompassHeading::degrees(358), five_east);
  CHECK(magnetic.in_deg() == 3.0);
  const TrueHeading north = to_true(magnetic, three_west);
  CHECK(north.in_deg() == 0.0);
  CHECK(to_magnetic(north, three_west) == magnetic);
}
