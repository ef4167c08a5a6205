// SPDX-License-Identifier: Apache-2.0
// A fixed part of the accuracy tables, small enough for every release build. Seeds 500 000 and up:
// neither those of the tables in docs/accuracy.md nor those used for tuning.
#include <catch2/catch.hpp>
#include <string>

#include "accuracy/sensor_cases.h"
#include "accuracy/sensor_score.h"

using namespace qn::accuracy;

TEST_CASE("bands hold the truth and errors stay near the bound", "[procedure][synthetic][long]") {
  // Gates with this many cases: coverage 95 % within three standard errors, rms error at most 1.15
  // of the Cramer-Rao bound (tests/accuracy/coverage_table.h).
  // The tables of level turns are larger and not all their gates hold yet: docs/accuracy.md.
  constexpr std::size_t kCases = 100;
  const std::string name = "sensor-tumble";
  const CoverageTable table = run_sensor_table(name, kCases, 500'000, qn::serial_for);
  INFO(table.to_markdown(name, how_drawn(name), kCases));
  CHECK(table.holds());
}
