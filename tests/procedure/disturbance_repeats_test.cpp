// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>

#include "procedure/disturbance_repeats_internal.h"

using namespace qn;
using namespace qn::disturbance;

namespace {

constexpr double kMatters_uT = 0.03;

SeenField seen(const Vector3& size, double sigma = 0.02) { return {size, {sigma, sigma, sigma}}; }

RepeatsReading read(const std::vector<SeenField>& visits,
                    const std::vector<KnownVector>& others = {}) {
  return read_repeats(visits, others, kMatters_uT);
}

}  // namespace

TEST_CASE("repeats that agree are all good", "[procedure]") {
  const auto reading = read({seen({1, 0, 0}), seen({1.02, 0.01, 0}), seen({0.98, 0, -0.02})});
  CHECK_FALSE(reading.contested);
  CHECK_FALSE(reading.quiet);
  for (const VisitReading& visit : reading.visits) CHECK(visit.what == VisitReading::What::good);
}

TEST_CASE("nothing in any visit is quiet, and nothing is set aside", "[procedure]") {
  const auto reading = read({seen({0.01, 0, 0}), seen({-0.02, 0.01, 0})});
  CHECK(reading.quiet);
  CHECK_FALSE(reading.contested);
}

TEST_CASE("one of three that shows nothing was likely skipped", "[procedure]") {
  const auto reading = read({seen({1, 0, 0}), seen({0.01, 0, 0}), seen({1.01, 0, 0})});
  CHECK_FALSE(reading.contested);
  CHECK(reading.visits[1].what == VisitReading::What::skipped);
  CHECK(reading.visits[0].what == VisitReading::What::good);
}

TEST_CASE("one of three with another device's vector is named after it", "[procedure]") {
  const auto reading = read({seen({1, 0, 0}), seen({0.01, 0.51, 0.3}), seen({1.01, 0, 0})},
                            {{"fuel pump", seen({0, 0.5, 0.3}, 0.01)}});
  CHECK_FALSE(reading.contested);
  CHECK(reading.visits[1].what == VisitReading::What::another);
  CHECK(reading.visits[1].another == "fuel pump");
}

TEST_CASE("one of three with a vector of nobody is something else", "[procedure]") {
  const auto reading = read({seen({1, 0, 0}), seen({-2, 3, 0.3}), seen({1.01, 0, 0})},
                            {{"fuel pump", seen({0, 0.5, 0.3}, 0.01)}});
  CHECK_FALSE(reading.contested);
  CHECK(reading.visits[1].what == VisitReading::What::unknown);
}

TEST_CASE("of two that disagree without a reason neither is believed", "[procedure]") {
  // By the stated odds: (first good, second unknown) and (second good, first unknown) weigh the
  // same, 0.92 x 0.01 each. Nothing tells them apart.
  CHECK(read({seen({1, 0, 0}), seen({-2, 3, 0.3})}).contested);
}

TEST_CASE("one that shows something and one that shows nothing: skipped, or other?",
          "[procedure][closed-form]") {
  // Good + skipped: 0.92 x 0.04 x [0.6 x density of the size]. Unknown + good (of nothing):
  // 0.01 x 0.92 x density x 0.4. Odds 0.04 x 0.6 : 0.01 x 0.4 = 6 to 1: far from 100 to 1.
  CHECK(read({seen({1, 0, 0}), seen({0, 0, 0})}).contested);
}

TEST_CASE("two against two of equal right are contested", "[procedure]") {
  CHECK(
      read({seen({1, 0, 0}), seen({1.01, 0, 0}), seen({-1, 0, 0}), seen({-1.01, 0, 0})}).contested);
}

TEST_CASE("one visit alone cannot be contested", "[procedure]") {
  CHECK_FALSE(read({seen({1, 0, 0})}).contested);
}

TEST_CASE("differences that do not matter are let pass, however sharp", "[procedure]") {
  const auto reading = read({seen({0.10, 0, 0}, 0.001), seen({0.12, 0, 0}, 0.001)});
  CHECK_FALSE(reading.contested);
}

TEST_CASE("a small device is not taken for another that is not unlike it", "[procedure]") {
  // Both visits agree; another of twelve devices differs by one to two sigma of what matters. That
  // the device is as small as it seems must not count against it.
  std::vector<KnownVector> others{{"pitch trim", seen({0.061, -0.021, -0.078}, 0.002)}};
  for (int i = 1; i < 12; ++i) others.push_back({"far", seen({0.5 * i, 1.0, 0.0})});
  const auto reading = read_repeats(
      {seen({0.088, -0.019, -0.093}, 0.003), seen({0.089, -0.014, -0.097}, 0.002)}, others, 0.04);
  CHECK_FALSE(reading.contested);
  for (const VisitReading& visit : reading.visits) CHECK(visit.what == VisitReading::What::good);
}

TEST_CASE("a visit of which nothing was seen has no vote", "[procedure]") {
  const SeenField blind = seen({-50, 80, 20}, 40.0);
  const auto three = read({seen({1, 0, 0}), blind, seen({1.01, 0, 0})});
  CHECK_FALSE(three.contested);
  for (const VisitReading& visit : three.visits) CHECK(visit.what == VisitReading::What::good);
  // The other faults are still found, and by their own place.
  const auto four = read({blind, seen({1, 0, 0}), seen({0.01, 0, 0}), seen({1.01, 0, 0})});
  CHECK_FALSE(four.contested);
  CHECK(four.visits[2].what == VisitReading::What::skipped);
  CHECK(four.visits[0].what == VisitReading::What::good);
}

TEST_CASE("where one visit is left of several, nothing checks it", "[procedure]") {
  CHECK(read({seen({1, 0, 0}), seen({3, 3, 3}, 50.0)}).contested);
  CHECK_FALSE(read({seen({1, 0, 0})}).contested);  // it was the only one that was made
}

TEST_CASE("two that show nothing and one that shows something do not make a quiet device",
          "[procedure]") {
  const auto reading = read({seen({0.01, 0, 0}), seen({2.2, 0, -1.6}), seen({0, 0.01, 0})},
                            {{"flaps", seen({2.2, 0, -1.6}, 0.01)}});
  CHECK(reading.contested);
  // Three that show nothing outweigh one.
  const auto more =
      read({seen({0.01, 0, 0}), seen({2.2, 0, -1.6}), seen({0, 0.01, 0}), seen({0, 0, 0.01})},
           {{"flaps", seen({2.2, 0, -1.6}, 0.01)}});
  CHECK_FALSE(more.contested);
}

TEST_CASE("the same direction at another size is the device itself: no size of it is believed",
          "[procedure]") {
  // A lamp that heats, worked longer once: nothing of the list points exactly where it does.
  const auto heats =
      read({seen({-2.29, -0.74, -2.91}), seen({-1.92, -0.62, -2.39}), seen({-1.90, -0.61, -2.39})},
           {{"fuel pump", seen({0, 0.5, 0.3}, 0.01)}});
  CHECK(heats.contested);
  CHECK(heats.visits[0].what == VisitReading::What::other_size);
  // Another direction is another device, however near its size.
  const auto other =
      read({seen({-2.29, 0.74, -2.91}), seen({-1.92, -0.62, -2.39}), seen({-1.90, -0.61, -2.39})});
  CHECK_FALSE(other.contested);
  CHECK(other.visits[0].what == VisitReading::What::unknown);
}

TEST_CASE("two that show nothing are no proof where the third was not seen", "[procedure]") {
  const SeenField blind{{-1000, 60, 160}, {850, 850, 850}};
  CHECK(read({blind, seen({0.01, 0, 0}), seen({-0.01, 0.01, 0})}).contested);
  CHECK_FALSE(
      read({blind, seen({0.01, 0, 0}), seen({-0.01, 0.01, 0}), seen({0, 0, 0.01})}).contested);
}
