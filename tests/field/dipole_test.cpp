// SPDX-License-Identifier: Apache-2.0
#include "field/dipole.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace qn;

TEST_CASE("the dipole of a small loop has the textbook field", "[field][closed-form]") {
  // Textbook formula (Griffiths, chapter 5), evaluated in double precision outside this program:
  // moment pi R^2 I of a loop of 1 A and 0.05 m, at rho = 0.1 m and z = 0.2 m; given to 9 digits.
  const Vector3 field = dipole_field_uT({0, 0, 7.853981634e-3}, {0.1, 0, 0.2});
  CHECK(field[0] == Approx(0.0842977768).epsilon(1e-8));
  CHECK(field[1] == 0.0);
  CHECK(field[2] == Approx(0.0983474062).epsilon(1e-8));
}

TEST_CASE("along its axis a dipole gives 0.2 m / r^3, beside it half of that backward",
          "[field][closed-form]") {
  CHECK(dipole_field_uT({2, 0, 0}, {2, 0, 0})[0] == Approx(0.05).epsilon(1e-14));
  CHECK(dipole_field_uT({2, 0, 0}, {0, 0, 2})[0] == Approx(-0.025).epsilon(1e-14));
  // Moments that turn a compass by 1 degree at the edges of the equipment classes of DO-160,
  // section 15: tan(1 degree) times 14.4 A/m, on the axis; computed, given to 4 or 5 digits.
  const double one_degree_uT = 0.31586;
  CHECK(dipole_field_uT({0.04264, 0, 0}, {0.3, 0, 0})[0] == Approx(one_degree_uT).epsilon(2e-4));
  CHECK(dipole_field_uT({1.5793, 0, 0}, {1.0, 0, 0})[0] == Approx(one_degree_uT).epsilon(1e-4));
  CHECK(dipole_field_uT({42.641, 0, 0}, {3.0, 0, 0})[0] == Approx(one_degree_uT).epsilon(1e-4));
}
