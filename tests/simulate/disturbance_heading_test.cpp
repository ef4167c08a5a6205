// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_heading.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace qn;
using namespace qn::simulate;

namespace {

// Ten samples a second: heading `before` for 10 s, then `after` for 100 s.
SensorRecording step_run(double before_deg, double after_deg) {
  SensorRecording out;
  for (int k = 0; k < 1100; ++k) {
    const double heading = (k < 100 ? before_deg : after_deg) * 0.017453292519943295;
    out.time_s.push_back(0.1 * k);
    out.field[0].push_back(20.0 * std::cos(heading));
    out.field[1].push_back(-20.0 * std::sin(heading));
    out.field[2].push_back(45.0);
  }
  return out;
}

double at(const SensorRecording& log, double time_s) {
  return log.heading_deg[static_cast<std::size_t>(std::lround(10.0 * time_s))];
}

}  // namespace

TEST_CASE("a display that follows at once shows the heading, rounded", "[simulate][closed-form]") {
  const SensorRecording shown = displayed_heading(step_run(75.0, 77.26), {0.1, {}, 0.0});
  CHECK(shown.field[0].empty());
  CHECK(at(shown, 5.0) == Approx(75.0));
  CHECK(at(shown, 20.0) == Approx(77.3));
}

TEST_CASE("a gyro that holds lets a step come with its time constant, across north too",
          "[simulate][closed-form]") {
  // 10 s after a step of 10 degrees with T = 10 s: 1 - 1/e of it, 6.32.
  const SensorRecording shown =
      displayed_heading(step_run(355.0, 5.0), {0.0, HeadingDisplay::Follows::slowly, 10.0});
  CHECK(at(shown, 5.0) == Approx(355.0));
  CHECK(at(shown, 19.9) == Approx(355.0 + 6.3212 - 360.0).margin(1e-3));
  CHECK(at(shown, 109.0) == Approx(5.0).margin(0.01));
}

TEST_CASE("a gyro that wins lets a step fade with its time constant", "[simulate][closed-form]") {
  const SensorRecording shown =
      displayed_heading(step_run(75.0, 85.0), {0.0, HeadingDisplay::Follows::fading, 20.0});
  CHECK(at(shown, 10.0) == Approx(85.0).margin(0.06));
  CHECK(at(shown, 29.9) == Approx(75.0 + 10.0 / 2.718281828).margin(1e-3));
  CHECK(at(shown, 109.0) == Approx(75.0).margin(0.1));
}
