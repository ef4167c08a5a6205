// SPDX-License-Identifier: Apache-2.0
#include "acquire/stream_timer.h"

#include <catch2/catch.hpp>
#include <vector>

using namespace qn;

namespace {

LinkReading reading_at(double sensor_time_s) {
  LinkReading r;
  r.source = "lines";
  r.sensor_time_s = sensor_time_s;
  r.heading_deg = 1.0;
  return r;
}

std::vector<double> times(const std::vector<TimedReading>& timed) {
  std::vector<double> out;
  for (const TimedReading& t : timed) out.push_back(t.time_s);
  return out;
}

}  // namespace

TEST_CASE("readings without a clock that come in one piece are laid out before its arrival",
          "[acquire][closed-form]") {
  StreamTimer timer;
  std::vector<TimedReading> out;
  for (int i = 0; i < 20; ++i) timer.stamp({reading_at(LinkReading::kNone)}, 0.1 * i, out);
  out.clear();
  timer.stamp({reading_at(LinkReading::kNone), reading_at(LinkReading::kNone),
               reading_at(LinkReading::kNone)},
              2.2, out);  // 0.3 s after the last
  REQUIRE(out.size() == 3);
  CHECK(out[0].time_s == Approx(2.0).margin(1e-9));
  CHECK(out[1].time_s == Approx(2.1).margin(1e-9));
  CHECK(out[2].time_s == 2.2);
  CHECK(out[0].arrival_s == 2.2);
}

TEST_CASE("readings with a clock lie as that clock says, not as they came in bursts",
          "[acquire][closed-form]") {
  StreamTimer timer;
  std::vector<TimedReading> out;
  // 10 Hz, delivered five at a time, half a second after the first of them was measured.
  for (int burst = 0; burst < 40; ++burst) {
    std::vector<LinkReading> readings;
    for (int i = 0; i < 5; ++i) readings.push_back(reading_at(0.1 * (5 * burst + i)));
    timer.stamp(std::move(readings), 100.0 + 0.5 * burst + 0.4, out);
  }
  const auto at = times(out);
  for (std::size_t i = 11; i < at.size(); ++i) CHECK(at[i] - at[i - 1] == Approx(0.1).margin(1e-6));
  CHECK(timer.clock_of("lines").fit->delay_95_s == Approx(0.4).margin(1e-6));
}

TEST_CASE("a sensor that starts again is followed, its times go on increasing",
          "[acquire][closed-form]") {
  StreamTimer timer;
  std::vector<TimedReading> out;
  for (int i = 0; i < 50; ++i) timer.stamp({reading_at(500.0 + 0.1 * i)}, 0.1 * i, out);
  for (int i = 0; i < 50; ++i) timer.stamp({reading_at(0.1 * i)}, 6.0 + 0.1 * i, out);
  timer.stamp({reading_at(900.0)}, 11.0, out);
  const auto at = times(out);
  for (std::size_t i = 1; i < at.size(); ++i) CHECK(at[i] > at[i - 1]);
  CHECK(at[50] == Approx(6.0).margin(1e-9));
  CHECK(at[100] == Approx(11.0).margin(1e-9));
  CHECK(timer.clock_of("lines").went_back == 1);
  CHECK(timer.clock_of("lines").jumped == 1);
}

TEST_CASE("a satellite receiver ties the recording to UTC", "[acquire][closed-form]") {
  StreamTimer timer;
  std::vector<TimedReading> out;
  for (int i = 0; i < 30; ++i) {
    LinkReading r = reading_at(LinkReading::kNone);
    r.source = "GPRMC";
    r.utc_s = 1.7e9 + i;
    timer.stamp({r}, 12.0 + i + (i % 3) * 0.05, out);
  }
  REQUIRE(timer.utc_at_zero_s().has_value());
  CHECK(*timer.utc_at_zero_s() == Approx(1.7e9 - 12.0).margin(1e-6));
}
