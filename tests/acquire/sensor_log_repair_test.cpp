// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "acquire/log_texts.h"

using namespace qn::test;

namespace {

const std::string kHeader = "time_s,field_x_uT,field_y_uT,field_z_uT\n";

std::string row(double time) { return std::to_string(time) + ",20,1,43\n"; }

std::string rows(double from, double step, int count) {
  std::string text;
  for (int i = 0; i < count; ++i) text += row(from + step * i);
  return text;
}

qn::SensorRecording read(const std::string& text) {
  auto recording = read_text(text);
  if (!recording) FAIL(to_text(recording.error()));
  for (std::size_t i = 1; i < recording.value().size(); ++i) {
    if (!(recording.value().time_s[i] > recording.value().time_s[i - 1])) FAIL("not in order");
  }
  return std::move(recording).value();
}

}  // namespace

TEST_CASE("Missing cells are counted, and rows without time or field left out",
          "[acquire][closed-form]") {
  const auto r = read(
      "time_s,field_x_uT,field_y_uT,field_z_uT,roll_deg\n0,1,2,3,4\n1,,2,3,4\n2,1,NaN,nan,4\n"
      ",1,2,3,4\n3,1,2,3,n/a\n4,1,2\n5,1,2,3,-nan(ind)\n");
  CHECK(r.time_s == std::vector<double>{0, 3, 5});
  CHECK(r.tally.rows == 7);
  CHECK(r.tally.missing_cells == 8);
  CHECK(r.tally.dropped_rows == 4);
  CHECK(r.roll_deg.size() == 3);
  CHECK(std::isnan(r.roll_deg[1]));
  CHECK(remarks_on(r, "8 cells were empty"));
  CHECK(
      remarks_on(r, "4 rows have no usable time or field and were left out, the first in line 3"));
  CHECK(remarks_on(r, "1 row has fewer cells"));
}

TEST_CASE("A clean log has nothing to remark", "[acquire][closed-form]") {
  const auto r = read(kHeader + rows(0.0, 0.02, 100));
  CHECK(r.tally.remarks.empty());
  CHECK(r.tally.rows == 100);
  CHECK(r.tally.median_interval_s == Approx(0.02).epsilon(1e-9));
  CHECK(r.tally.gaps == 0);
}

TEST_CASE("Of equal times the first is kept", "[acquire][closed-form]") {
  const auto r = read(kHeader + "0,1,2,3\n1,1,2,3\n1,9,9,9\n1,8,8,8\n2,1,2,3\n");
  CHECK(r.time_s == std::vector<double>{0, 1, 2});
  CHECK(r.field[0] == std::vector<double>{1, 1, 1});
  CHECK(r.tally.duplicate_times == 2);
  CHECK(remarks_on(
      r, "2 rows repeat the time of the row before and were left out, the first in line 4"));
}

TEST_CASE("A row that lies back is left out", "[acquire][closed-form]") {
  const auto r = read(kHeader + rows(0.0, 1.0, 20) + row(5.5) + rows(20.0, 1.0, 20));
  CHECK(r.size() == 40);
  CHECK(r.tally.backward_times == 1);
  CHECK(remarks_on(r, "1 row was out of order in time and left out, the first in line 22"));
}

TEST_CASE("A clock that jumps ahead for a moment does not cost the rest",
          "[acquire][closed-form]") {
  const auto r = read(kHeader + rows(0.0, 1.0, 20) + row(90000.0) + rows(20.0, 1.0, 200));
  CHECK(r.size() == 220);
  CHECK(r.time_s.back() == 219.0);
  CHECK(r.tally.backward_times == 1);
  CHECK(remarks_on(r, "the first in line 22"));
}

TEST_CASE("Where the clock starts again the longest stretch is used and said",
          "[acquire][closed-form]") {
  const auto r = read(kHeader + rows(0.0, 0.1, 30) + rows(0.0, 0.1, 100) + rows(0.0, 0.1, 20));
  CHECK(r.size() == 100);
  CHECK(r.tally.backward_times == 50);
  CHECK(remarks_on(r, "The time starts again 2 times (first in line 32, from 2.9 s back to 0 s)"));
  CHECK(remarks_on(r, "lines 32 to 131"));
}

TEST_CASE("Rows in no order, or in many short stretches, are refused", "[acquire][closed-form]") {
  std::string falling = kHeader;
  for (int i = 0; i < 50; ++i) falling += row(100.0 - i);
  const auto disorder = refusal_of(falling);
  CHECK(disorder.kind == qn::ErrorKind::BadInput);
  CHECK(contains(disorder.what, "not in order of time: it goes back 49 times in 50 rows"));
  CHECK(disorder.where == "log.csv, line 3");

  std::string many = kHeader;
  for (int i = 0; i < 8; ++i) many += rows(0.0, 1.0, 60);
  CHECK(contains(refusal_of(many).what, "starts again 7 times"));
  CHECK(refusal_of(many).where == "log.csv, line 62");
}

TEST_CASE("Pauses are counted from five usual intervals on", "[acquire][closed-form]") {
  const auto r = read(kHeader + rows(0.0, 0.5, 40) + rows(22.0, 0.5, 40) + rows(50.0, 0.5, 40));
  // 19.5 to 22.0 s is five intervals exactly, which is not more; 41.5 to 50 s is.
  CHECK(r.tally.gaps == 1);
  CHECK(r.tally.longest_gap_s == Approx(8.5));
  CHECK(r.tally.median_interval_s == Approx(0.5));
  CHECK(remarks_on(r, "1 pause longer than five times its usual interval of 0.5 s"));
}

TEST_CASE("Mixed rates are said", "[acquire][closed-form]") {
  const auto r = read(kHeader + rows(0.0, 0.02, 200) + rows(4.0, 0.08, 100));
  CHECK(r.tally.gaps == 0);
  CHECK(remarks_on(
      r, "The rate is not even: nine tenths of the intervals lie between 0.02 s and 0.08 s"));
}

TEST_CASE("A time that is written too coarsely is said", "[acquire][closed-form]") {
  std::string text = kHeader;
  for (int i = 0; i < 100; ++i) text += std::to_string(i / 5) + ",1,2,3\n";
  const auto r = read(text);
  CHECK(r.size() == 20);
  CHECK(r.tally.duplicate_times == 80);
  CHECK(remarks_on(r, "too coarsely"));
}

TEST_CASE("A clock that counts from a date is moved to zero, others stay",
          "[acquire][closed-form]") {
  const auto calendar = read(
      "time_ms,field_x_uT,field_y_uT,field_z_uT\n1764000000000,1,2,3\n"
      "1764000000500,1,2,3\n");
  CHECK(calendar.time_s == std::vector<double>{0.0, 0.5});
  CHECK(remarks_on(calendar, "1764000000.000 s in the file"));
  CHECK(read(kHeader + rows(12.5, 1.0, 3)).time_s.front() == 12.5);
}
