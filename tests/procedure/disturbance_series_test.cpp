// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/disturbance_series_internal.h"
#include "procedure/hand_log.h"

using namespace qn;
using namespace qn::disturbance;
using qn::tests::HandLog;

TEST_CASE("single wild samples are spikes and leave no trace in the pieces", "[procedure]") {
  HandLog made{60.0};
  made.log.field[1][300] += 5.0;
  made.log.field[0][700] -= 8.0;
  const Series series = prepare_series(made.log);
  REQUIRE(series.spikes.size() == 2);
  CHECK(series.spikes[0].time_s == Approx(15.0));
  CHECK(series.spikes[0].size_uT[1] == Approx(5.0).margin(0.3));
  CHECK(series.spikes[0].sample == 300);
  CHECK(series.fine.count[series.fine.at(made.log.time_s[300])] == series.fine.nominal_count - 1.0);
  CHECK(series.blocks.mean_uT[1][series.blocks.at(15.0)] ==
        Approx(HandLog::kRest_uT[1]).margin(0.15));
}

TEST_CASE("a step is no spike, nor is noise", "[procedure]") {
  HandLog made{60.0};
  made.hold({3.0, 0.0, 0.0}, 20.0, 40.0);
  CHECK(prepare_series(made.log).spikes.empty());
}

TEST_CASE("short pulses that come again and again are no spikes", "[procedure]") {
  HandLog made{60.0};
  made.add([](double t) {
    return std::fmod(t + 1e-9, 2.0) < 0.049 ? Vector3{5.0, 0.0, 0.0} : Vector3{};
  });
  CHECK(prepare_series(made.log).spikes.empty());
}

TEST_CASE("the quantum of a coarse sensor is found, and a fine one has none", "[procedure]") {
  HandLog made{120.0};
  CHECK(prepare_series(made.log).quantum_uT == 0.0);
  for (auto& axis : made.log.field) {
    for (double& y : axis) y = 0.15 * std::round(y / 0.15);
  }
  CHECK(prepare_series(made.log).quantum_uT == Approx(0.15).epsilon(1e-6));
}

TEST_CASE("an axis at its rail is seen, an axis at rest is not", "[procedure]") {
  HandLog made{60.0};
  CHECK(prepare_series(made.log).at_rail_s.empty());
  made.hold({30.0, 0.0, 0.0}, 20.0, 40.0);
  for (double& y : made.log.field[0]) y = std::min(y, 40.0);
  const Series series = prepare_series(made.log);
  REQUIRE_FALSE(series.at_rail_s.empty());
  CHECK(series.at_rail_s.front()[0] == Approx(20.0).margin(0.2));
  CHECK(series.at_rail_s.back()[1] == Approx(40.0).margin(0.2));
}

TEST_CASE("pieces hold the means of their samples, and a gap holds none", "[procedure]") {
  HandLog made{30.0, 10.0, 0.0};
  made.add([](double t) { return Vector3{t, 0.0, 0.0}; });
  made.keep([](double t) { return t < 10.0 || t > 14.0; });
  Pieces pieces = empty_pieces(made.log, 1.0, 0.1);
  add_samples(made.log, 0, made.log.size(), pieces);
  sums_to_means(pieces);
  for (std::size_t p = 0; p + 1 < pieces.size(); ++p) {
    const double middle = pieces.middle_s(p);
    if (middle > 10.5 && middle < 13.5) {
      CHECK(pieces.count[p] == 0.0);
    } else if (middle < 9.4 || middle > 14.6) {
      CHECK(pieces.count[p] == 10.0);
      CHECK(pieces.mean_uT[0][p] == Approx(HandLog::kRest_uT[0] + middle).margin(1e-9));
    }
  }
}

TEST_CASE("pieces put together are the pieces of that length", "[procedure][closed-form]") {
  HandLog made{30.0, 10.0, 0.1};
  made.keep([](double t) { return t < 10.0 || t > 10.35; });
  Pieces single = empty_pieces(made.log, 0.2, 0.1);
  add_samples(made.log, 0, made.log.size(), single);
  leave_out_sample(made.log, 51, single);
  Pieces direct = empty_pieces(made.log, 1.0, 0.1);
  add_samples(made.log, 0, made.log.size(), direct);
  leave_out_sample(made.log, 51, direct);
  Pieces together = merged(single, 5);
  sums_to_means(single);
  sums_to_means(direct);
  sums_to_means(together);
  const Pieces from_means = merged_means(single, 1.05);
  REQUIRE(together.size() == direct.size());
  REQUIRE(from_means.size() == direct.size());
  CHECK(together.length_s == Approx(direct.length_s));
  CHECK(together.nominal_count == direct.nominal_count);
  for (std::size_t p = 0; p < direct.size(); ++p) {
    CHECK(together.count[p] == direct.count[p]);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      // Sums in another order: the last digits of 45 uT.
      CHECK(together.mean_uT[axis][p] == Approx(direct.mean_uT[axis][p]).margin(1e-12));
      CHECK(from_means.mean_uT[axis][p] == Approx(direct.mean_uT[axis][p]).margin(1e-12));
    }
  }
}
