// SPDX-License-Identifier: Apache-2.0
#include "estimation/f_tail.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using qn::f_tail;

TEST_CASE("the tail of F with two degrees of freedom above is a power",
          "[estimation][closed-form]") {
  // The density integrates in closed form: P(F > f) = (1 + 2 f / b)^(-b/2).
  for (const double b : {1.0, 4.0, 17.0, 300.0}) {
    for (const double f : {0.0, 0.1, 1.0, 3.0, 40.0}) {
      CHECK(f_tail(f, 2.0, b) == Approx(std::pow(1.0 + 2.0 * f / b, -0.5 * b)).margin(1e-10));
    }
  }
  // F and 1/F change places.
  CHECK(f_tail(1.7, 4.0, 9.0) == Approx(1.0 - f_tail(1.0 / 1.7, 9.0, 4.0)).margin(1e-10));
  // Infinite below: chi-square with 2 degrees of freedom over 2.
  CHECK(f_tail(3.0, 2.0, std::numeric_limits<double>::infinity()) ==
        Approx(std::exp(-3.0)).epsilon(1e-5));
}

TEST_CASE("the tail of F agrees with printed tables", "[estimation][published]") {
  // Upper 5 % and 1 % points in every statistics table (from memory), to their last digit.
  CHECK(f_tail(3.48, 4.0, 10.0) == Approx(0.05).margin(2e-4));
  CHECK(f_tail(4.96, 1.0, 10.0) == Approx(0.05).margin(2e-4));
  CHECK(f_tail(5.99, 4.0, 10.0) == Approx(0.01).margin(1e-4));
}
