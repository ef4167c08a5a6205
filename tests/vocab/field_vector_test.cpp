// SPDX-License-Identifier: Apache-2.0
#include "vocab/field_vector.h"

#include <catch2/catch.hpp>
#include <type_traits>

#include "vocab/frame.h"

using qn::Body;
using qn::FieldVector;
using qn::Ned;
using qn::Rotation;
using qn::Sensor;

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
concept Multipliable = requires(A a, B b) {
  a* b;
};

// What must not compile: vectors of different frames never meet without a rotation between them.
static_assert(Subtractable<FieldVector<Ned>, FieldVector<Ned>>);
static_assert(!Subtractable<FieldVector<Ned>, FieldVector<Body>>);
static_assert(!Addable<FieldVector<Sensor>, FieldVector<Body>>);
static_assert(Multipliable<Rotation<Ned, Body>, FieldVector<Body>>);
static_assert(!Multipliable<Rotation<Ned, Body>, FieldVector<Ned>>);
static_assert(!Multipliable<Rotation<Ned, Body>, FieldVector<Sensor>>);
static_assert(!std::is_convertible_v<FieldVector<Sensor>, FieldVector<Body>>);

}  // namespace

TEST_CASE("a field vector adds, subtracts and has a length", "[vocab][closed-form]") {
  const auto a = FieldVector<Body>::microtesla(3, 4, 12);
  const auto b = FieldVector<Body>::microtesla(1, 1, 1);
  CHECK(a.magnitude_uT() == 13.0);
  CHECK((a - b) == FieldVector<Body>::microtesla(2, 3, 11));
  CHECK((a + b) == FieldVector<Body>::microtesla(4, 5, 13));
  CHECK(FieldVector<Body>{} == FieldVector<Body>::microtesla(0, 0, 0));
}

TEST_CASE("a rotation takes a vector of its inner frame to its outer frame",
          "[vocab][closed-form]") {
  // An aircraft heading east: body x (forward) is east, body y (right) is south.
  const auto R_ned_body = Rotation<Ned, Body>::from_rows({{{0, -1, 0}, {1, 0, 0}, {0, 0, 1}}});
  CHECK(R_ned_body * FieldVector<Body>::microtesla(1, 0, 0) ==
        FieldVector<Ned>::microtesla(0, 1, 0));
  CHECK(R_ned_body * FieldVector<Body>::microtesla(0, 2, 5) ==
        FieldVector<Ned>::microtesla(-2, 0, 5));
  static_assert(std::is_same_v<decltype(R_ned_body * FieldVector<Body>{}), FieldVector<Ned>>);
}

TEST_CASE("the identity keeps the numbers", "[vocab][closed-form]") {
  const auto v = FieldVector<Sensor>::microtesla(1, -2, 3);
  CHECK((Rotation<Body, Sensor>::identity() * v).in_uT() == v.in_uT());
}
