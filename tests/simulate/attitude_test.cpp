// SPDX-License-Identifier: Apache-2.0
#include "simulate/attitude.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace qn;
using namespace qn::simulate;

// Rounding only: a few products of numbers of size 50 in double precision.
static void check_vector(const Vector3& got, const Vector3& wanted) {
  for (std::size_t i = 0; i < 3; ++i) CHECK(got[i] == Approx(wanted[i]).margin(1e-12));
}

TEST_CASE("the field in body axes at attitudes that a hand can show", "[simulate][closed-form]") {
  // Earth field: 20 north, 0 east, 45 down. Body x forward, y right, z down.
  const Vector3 earth{20, 0, 45};
  SECTION("level, nose north: forward 20, down 45") {
    check_vector(product(body_from_earth({0, 0, 0}), earth), {20, 0, 45});
  }
  SECTION("level, nose east: north is on the left hand") {
    check_vector(product(body_from_earth({90, 0, 0}), earth), {0, -20, 45});
  }
  SECTION("level, nose south") {
    check_vector(product(body_from_earth({180, 0, 0}), earth), {-20, 0, 45});
  }
  SECTION("level, nose west: north is on the right hand") {
    check_vector(product(body_from_earth({270, 0, 0}), earth), {0, 20, 45});
  }
  SECTION("heading north, nose straight up: down is behind, the belly faces north") {
    check_vector(product(body_from_earth({0, 90, 0}), earth), {-45, 0, 20});
  }
  SECTION("heading north, right wing straight down: down is on the right, the belly faces west") {
    // East, where the right wing was, is now up over the cabin: body z is west, so z reads 0.
    check_vector(product(body_from_earth({0, 0, 90}), earth), {20, 45, 0});
  }
  SECTION("heading east, right wing straight down: the belly faces north") {
    check_vector(product(body_from_earth({90, 0, 90}), earth), {0, 45, 20});
  }
  SECTION("heading 030 level: 20 cos 30 forward, 20 sin 30 to the left") {
    check_vector(product(body_from_earth({30, 0, 0}), earth), {17.320508075688775, -10, 45});
  }
}

TEST_CASE("angles go into the matrix and come out again", "[simulate][closed-form]") {
  const Attitude a = attitude_of(body_from_earth({217, -33, 121}));
  CHECK(a.heading_deg == Approx(217).margin(1e-10));
  CHECK(a.pitch_deg == Approx(-33).margin(1e-10));
  CHECK(a.roll_deg == Approx(121).margin(1e-10));
}

TEST_CASE("ground that rises toward north lifts the nose on north and the tail on south",
          "[simulate][closed-form]") {
  const auto on = [](double heading, Slope slope) {
    return attitude_of(body_from_earth_on_ground(heading, slope, {}));
  };
  CHECK(on(0, {1, 0}).pitch_deg == Approx(1).margin(1e-12));
  CHECK(on(0, {1, 0}).roll_deg == Approx(0).margin(1e-12));
  CHECK(on(180, {1, 0}).pitch_deg == Approx(-1).margin(1e-12));
  // Heading east, north is on the left: the left wheel stands high, the right wing is low.
  CHECK(on(90, {1, 0}).roll_deg == Approx(1).margin(1e-12));
  CHECK(on(90, {1, 0}).pitch_deg == Approx(0).margin(1e-12));
  CHECK(on(270, {1, 0}).roll_deg == Approx(-1).margin(1e-12));
  // Rising to the east: nose up on east, left wing low on north.
  CHECK(on(90, {0, 1}).pitch_deg == Approx(1).margin(1e-12));
  CHECK(on(0, {0, 1}).roll_deg == Approx(-1).margin(1e-12));
  CHECK(on(0, {1, 0}).heading_deg == Approx(0).margin(1e-12));
}

TEST_CASE("a slope adds Z sin(slope) along north, whatever the heading",
          "[simulate][closed-form]") {
  // With the slope rising 1 degree to the north, the plane's own "north" axis (cos 1, 0, -sin 1)
  // meets the field 20 cos 1 - 45 sin 1 = 19.996954 - 0.785358 = 19.211596.
  for (const double heading : {0.0, 180.0}) {
    const Vector3 b = product(body_from_earth_on_ground(heading, {1, 0}, {}), Vector3{20, 0, 45});
    CHECK(b[0] == Approx(heading == 0.0 ? 19.211596 : -19.211596).margin(1e-6));  // digits above
  }
}

TEST_CASE("deck tilt turns with the aircraft", "[simulate][closed-form]") {
  for (const double heading : {0.0, 75.0, 180.0, 301.0}) {
    const Attitude a = attitude_of(body_from_earth_on_ground(heading, {}, {2, -1}));
    CHECK(a.roll_deg == Approx(2).margin(1e-12));
    CHECK(a.pitch_deg == Approx(-1).margin(1e-12));
    CHECK(a.heading_deg == Approx(heading).margin(1e-10));
  }
}

TEST_CASE("turning about an axis is right-handed", "[simulate][closed-form]") {
  check_vector(product(about_axis({0, 0, 1}, std::acos(0.0)), Vector3{1, 0, 0}), {0, 1, 0});
  check_vector(product(about_axis({1, 0, 0}, std::acos(0.0)), Vector3{0, 1, 0}), {0, 0, 1});
}

TEST_CASE("the inverse of a small matrix known by hand", "[simulate][closed-form]") {
  // [2 1 0; 0 1 0; 0 0 4]: inverse [1/2 -1/2 0; 0 1 0; 0 0 1/4].
  const Matrix3 inverse = inverted({{{2, 1, 0}, {0, 1, 0}, {0, 0, 4}}});
  CHECK(inverse == Matrix3{{{0.5, -0.5, 0}, {0, 1, 0}, {0, 0, 0.25}}});
}
