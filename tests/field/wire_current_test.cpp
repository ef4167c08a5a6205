// SPDX-License-Identifier: Apache-2.0
#include "field/wire_current.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

using namespace qn;

// Textbook closed forms (Griffiths, Introduction to Electrodynamics, chapter 5; Hayt and Buck,
// Engineering Electromagnetics, chapter 7; the loop off its axis after Smythe, Static and Dynamic
// Electricity), mu0 = 4 pi 1e-7 T m/A, evaluated in double precision outside this program.

namespace {

constexpr double kDigits = 1e-9;  // relative; the values are given to at least 9 digits

WireSegment along_x(double half_m) { return {{-half_m, 0, 0}, {half_m, 0, 0}}; }

double size(const Vector3& v) { return std::hypot(v[0], v[1], v[2]); }

Vector3 loop_field_uT(double current_A, double radius_m, const Vector3& at_m, int sides) {
  std::vector<Vector3> points;
  for (int i = 0; i <= sides; ++i) {
    const double a = 2.0 * std::numbers::pi * i / sides;
    points.push_back({radius_m * std::cos(a), radius_m * std::sin(a), 0.0});
  }
  return polyline_field_uT(points, current_A, at_m);
}

}  // namespace

TEST_CASE("a finite straight wire has the textbook field beside its middle",
          "[field][closed-form]") {
  const WireSegment wire = along_x(0.5);
  CHECK(size(segment_field_uT(wire, 10.0, {0, 0.1, 0})) ==
        Approx(19.611613513818405).epsilon(1e-14));
  CHECK(size(segment_field_uT(wire, 10.0, {0, 0, 0.3})) ==
        Approx(5.716619504750295).epsilon(1e-14));
}

TEST_CASE("a very long wire has the field of an infinite one", "[field][closed-form]") {
  // mu0 I/(2 pi d) = 20 uT; the ends at 100 km take 5e-13 of it away.
  const Vector3 field = segment_field_uT(along_x(100e3), 10.0, {0, 0.1, 0});
  CHECK(field[2] == Approx(20.0).epsilon(kDigits));  // right hand: x cross y is z
  CHECK(field[0] == 0.0);
  CHECK(field[1] == 0.0);
  // 10 A at 24 inches, and the pair of 3 mm at 0.3 m that is a hundred times quieter than one wire.
  CHECK(size(segment_field_uT(along_x(100e3), 10.0, {0, 0.6096, 0})) ==
        Approx(3.2808398950).epsilon(kDigits));
  const double near = segment_field_uT(along_x(100e3), 10.0, {0, 0.3 - 0.0015, 0})[2];
  const double far = segment_field_uT(along_x(100e3), -10.0, {0, 0.3 + 0.0015, 0})[2];
  CHECK(near + far == Approx(0.066668333375).epsilon(1e-8));  // a difference of 100 times larger
}

TEST_CASE("a round loop has the textbook field on and off its axis", "[field][closed-form]") {
  // The inscribed polygon of n sides has less area by (2 pi / n)^2 / 6: 1.6e-8 for 20 000.
  constexpr int kSides = 20'000;
  constexpr double kPolygon = 5e-8;
  const auto at = [](const Vector3& p) { return loop_field_uT(1.0, 0.05, p, kSides); };
  CHECK(at({0, 0, 0})[2] == Approx(12.566370614).epsilon(kPolygon));
  CHECK(at({0, 0, 0.2})[2] == Approx(0.1792819147877535).epsilon(kPolygon));
  const Vector3 off = at({0.1, 0, 0.2});
  CHECK(off[0] == Approx(0.07769392529).epsilon(kPolygon));
  CHECK(off[1] == Approx(0.0).margin(1e-10));
  CHECK(off[2] == Approx(0.09634041358).epsilon(kPolygon));
  const Vector3 beside = at({0.15, 0, 0});
  CHECK(beside[0] == Approx(0.0).margin(1e-10));
  CHECK(beside[2] == Approx(-0.2655964076).epsilon(kPolygon));
}

TEST_CASE("far away and close by the digits stay", "[field][closed-form]") {
  // Broadside at distance d from a wire of half-length h: 0.2 I h / (d sqrt(d^2 + h^2)) uT.
  for (const double d : {1e-3, 1e-2, 1.0, 1e2, 1e4, 1e6}) {
    const double expected = 0.2 * 7.0 * 0.5 / (d * std::sqrt(d * d + 0.25));
    CHECK(size(segment_field_uT(along_x(0.5), 7.0, {0, d, 0})) == Approx(expected).epsilon(1e-13));
  }
}

TEST_CASE("pieces in line add up to the whole wire", "[field][closed-form]") {
  const std::array<Vector3, 4> points{{{-0.5, 0, 0}, {-0.1, 0, 0}, {0.2, 0, 0}, {0.5, 0, 0}}};
  for (const Vector3& at : {Vector3{0.3, 0.02, -0.1}, Vector3{0.9, 0.01, 0.0}, Vector3{3, -2, 1}}) {
    const Vector3 whole = segment_field_uT(along_x(0.5), 4.0, at);
    const Vector3 parts = polyline_field_uT(points, 4.0, at);
    for (std::size_t i = 0; i < 3; ++i) CHECK(parts[i] == Approx(whole[i]).epsilon(1e-12));
  }
}

TEST_CASE("inside the copper the field falls to nothing on the axis", "[field][closed-form]") {
  const WireSegment wire{{-5, 0, 0}, {5, 0, 0}, 0.001};
  const double surface = size(segment_field_uT(wire, 10.0, {0, 0.001, 0}));
  CHECK(surface == Approx(2000.0).epsilon(1e-6));
  CHECK(size(segment_field_uT(wire, 10.0, {0, 0.0005, 0})) == Approx(surface / 2).epsilon(1e-6));
  CHECK(size(segment_field_uT(wire, 10.0, {0, 0, 0})) == 0.0);
  CHECK(size(segment_field_uT(wire, 10.0, {9, 0, 0})) == 0.0);  // ahead of its end, on its line
}

TEST_CASE("the field of a closed loop has neither sources nor, off the wire, curl",
          "[field][closed-form]") {
  // Central differences of 0.1 mm: their own error is about 1e-7 of the slopes here.
  const std::array<Vector3, 4> loop{{{0, 0, 0}, {1, 0.2, 0}, {0.3, 0.8, 0.5}, {0, 0, 0}}};
  const Vector3 at{0.9, 0.9, -0.4};
  constexpr double kStep = 1e-4;
  std::array<Vector3, 3> slope{};  // slope[j] = d field / d x_j
  for (std::size_t j = 0; j < 3; ++j) {
    Vector3 lo = at;
    Vector3 hi = at;
    lo[j] -= kStep;
    hi[j] += kStep;
    const Vector3 a = polyline_field_uT(loop, 10.0, lo);
    const Vector3 b = polyline_field_uT(loop, 10.0, hi);
    for (std::size_t i = 0; i < 3; ++i) slope[j][i] = (b[i] - a[i]) / (2 * kStep);
  }
  const double typical = std::abs(slope[0][0]);
  CHECK(typical > 0.01);
  CHECK(slope[0][0] + slope[1][1] + slope[2][2] == Approx(0.0).margin(1e-4 * typical));
  CHECK(slope[0][1] - slope[1][0] == Approx(0.0).margin(1e-4 * typical));
  CHECK(slope[1][2] - slope[2][1] == Approx(0.0).margin(1e-4 * typical));
  CHECK(slope[2][0] - slope[0][2] == Approx(0.0).margin(1e-4 * typical));
}
