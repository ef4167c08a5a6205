// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <string>

#include "acquire/sensor_log.h"

TEST_CASE("The real recording of counts at 50 Hz is read whole", "[acquire][published]") {
  // tests/replay/SOURCES.md: 50 Hz. The file has 22745 lines: a comment, the header, 22743 rows;
  // first row 0.00,6242,980,3872 and last row 454.84,6890,605,3137 (head and tail of the file).
  const auto recording =
      qn::read_sensor_log(std::string{QN_SOURCE_DIR} + "/tests/replay/tumble-counts-50hz.csv", {});
  REQUIRE(recording.has_value());
  const qn::SensorRecording& r = recording.value();
  CHECK(r.unit == qn::FieldUnit::counts);
  CHECK(r.tally.rows == 22743);
  CHECK(r.size() == 22743);
  CHECK(r.time_s.front() == 0.0);
  CHECK(r.time_s.back() == 454.84);
  CHECK(r.tally.median_interval_s == Approx(0.02).epsilon(1e-9));
  CHECK(r.field[0].front() == 6242.0);
  CHECK(r.field[1].front() == 980.0);
  CHECK(r.field[2].front() == 3872.0);
  CHECK(r.field[0].back() == 6890.0);
  CHECK(r.field[1].back() == 605.0);
  CHECK(r.field[2].back() == 3137.0);
  CHECK(r.tally.missing_cells == 0);
  CHECK(r.tally.remarks.empty());
}
