// SPDX-License-Identifier: Apache-2.0
#include "vocab/verdict.h"

#include <catch2/catch.hpp>
#include <limits>
#include <string>

using qn::Angle;
using qn::Band95;
using qn::judge;
using qn::Limit;
using qn::VerdictState;

namespace {

VerdictState judged(double lo_deg, double hi_deg, double limit_deg) {
  return judge(Band95{Angle::degrees(lo_deg), Angle::degrees(hi_deg)},
               Limit{Angle::degrees(limit_deg), "your own limit"});
}

}  // namespace

TEST_CASE("the verdict compares the whole band with the limit", "[vocab][closed-form]") {
  CHECK(judged(0.2, 0.8, 1.0) == VerdictState::within);
  CHECK(judged(0.2, 1.0, 1.0) == VerdictState::within);  // at the limit is within it
  CHECK(judged(0.2, 1.1, 1.0) == VerdictState::unproven);
  CHECK(judged(1.0, 1.1, 1.0) == VerdictState::unproven);  // the lower end must be above it
  CHECK(judged(1.01, 1.1, 1.0) == VerdictState::over);
}

TEST_CASE("a band that is not a number proves nothing", "[vocab][closed-form]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(judged(nan, nan, 1.0) == VerdictState::unproven);
  CHECK(judged(0.1, nan, 1.0) == VerdictState::unproven);
  CHECK(judged(0.1, 0.2, nan) == VerdictState::unproven);
}

TEST_CASE("an answer nobody filled in is unproven", "[vocab][closed-form]") {
  CHECK(qn::Verdict{}.state == VerdictState::unproven);
  CHECK_FALSE(qn::Verdict{}.limit.has_value());
}

TEST_CASE("the words of the verdict are fixed", "[vocab][closed-form]") {
  CHECK(to_word(VerdictState::within) == "within");
  CHECK(to_word(VerdictState::over) == "over");
  CHECK(to_word(VerdictState::unproven) == "unproven");
  CHECK(std::string{qn::kStartingLimitBasis} ==
        "starting limit of this program, not a published one");
}
