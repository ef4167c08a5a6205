// SPDX-License-Identifier: Apache-2.0
#include "vocab/result.h"

#include <catch2/catch.hpp>
#include <memory>
#include <string>
#include <type_traits>

using qn::Error;
using qn::ErrorKind;
using qn::Result;

namespace {

Error example() {
  return Error{ErrorKind::OutOfRange, "latitude 95 degrees is not on the Earth", "option --at",
               "a latitude from -90 to 90 degrees", "give latitude first, then longitude"};
}

}  // namespace

TEST_CASE("an error prints as one block of four lines", "[vocab][closed-form]") {
  CHECK(to_text(example()) ==
        "latitude 95 degrees is not on the Earth\n"
        "  where:    option --at\n"
        "  expected: a latitude from -90 to 90 degrees\n"
        "  do:       give latitude first, then longitude");
}

TEST_CASE("a result holds a value or an error", "[vocab][closed-form]") {
  const Result<int> good{42};
  CHECK(good.has_value());
  CHECK(static_cast<bool>(good));
  CHECK(good.value() == 42);
  const Result<int> bad{example()};
  CHECK_FALSE(bad.has_value());
  CHECK(bad.error().kind == ErrorKind::OutOfRange);
  CHECK(bad.error().where == "option --at");
}

TEST_CASE("a value that cannot be copied moves out of its result", "[vocab][closed-form]") {
  Result<std::unique_ptr<int>> result{std::make_unique<int>(7)};
  const std::unique_ptr<int> taken = std::move(result).value();
  CHECK(*taken == 7);
}

TEST_CASE("a result never turns into its value unasked", "[vocab][closed-form]") {
  static_assert(!std::is_convertible_v<Result<int>, int>);
  static_assert(!std::is_convertible_v<Result<int>, bool>);
  SUCCEED("checked by the compiler");
}
