// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "procedure/heading_display_internal.h"
#include "procedure/heading_repeats_internal.h"
#include "procedure/heading_response_internal.h"

using namespace qn;
using namespace qn::heading_only;

namespace {

HeadingLog shown(const std::vector<double>& headings) {
  HeadingLog out;
  for (std::size_t k = 0; k < headings.size(); ++k) {
    out.recording.time_s.push_back(0.5 * static_cast<double>(k));
    out.recording.heading_deg.push_back(headings[k]);
  }
  out.marks = {{30.0, "light", "1", 2}};
  return out;
}

std::vector<double> steady_then(double rest, double then, std::size_t each = 60) {
  std::vector<double> out(each, rest);
  out.insert(out.end(), each, then);
  return out;
}

}  // namespace

TEST_CASE("what rounding leaves in a mean: all of it without noise, soon nothing with it",
          "[procedure][heading][closed-form]") {
  // Evenly between two figures: step / sqrt(12). With noise s only the first wave of the saw-tooth
  // matters, amplitude (q/pi) exp(-2 pi^2 s^2/q^2); root mean square 1/sqrt 2 of it.
  CHECK(rounding_sigma(1.0, 0.0) == Approx(1.0 / std::sqrt(12.0)).epsilon(0.01));
  CHECK(rounding_sigma(0.5, 0.0) == Approx(0.5 / std::sqrt(12.0)).epsilon(0.01));
  const double wave = std::exp(-2.0 * std::numbers::pi * std::numbers::pi * 0.25) /
                      (std::numbers::pi * std::sqrt(2.0));
  CHECK(rounding_sigma(1.0, 0.5) == Approx(wave).epsilon(1e-3));
  CHECK(rounding_sigma(0.0, 0.3) == 0.0);
}

TEST_CASE("a display's rest, step and change are read across north",
          "[procedure][heading][closed-form]") {
  const auto display = read_display(shown(steady_then(359.0, 3.0)), 20.0, 1);
  REQUIRE(display.has_value());
  const Display& d = display.value();
  CHECK(d.log.shown_at_rest.in_deg() == Approx(359.0));
  CHECK(d.log.aircraft_heading.in_deg() == Approx(359.0));
  CHECK(d.log.heading_from_display);
  // 359 and 003 are four apart, but whole degrees is what such a display prints.
  CHECK(d.log.step.in_deg() == Approx(1.0));
  CHECK(d.change_uT.front() == Approx(0.0));
  CHECK(d.change_uT.back() == Approx(20.0 * 4.0 * std::numbers::pi / 180.0));
  CHECK(d.log.alive);
}

TEST_CASE("the heading that is given counts, not the one shown", "[procedure][heading]") {
  HeadingLog log = shown(steady_then(44.5, 46.0));
  log.aircraft_heading_deg = 47.0;
  const auto display = read_display(log, 20.0, 1);
  REQUIRE(display.has_value());
  CHECK(display.value().log.aircraft_heading.in_deg() == Approx(47.0));
  CHECK(display.value().log.shown_at_rest.in_deg() == Approx(44.5));
  CHECK(display.value().log.step.in_deg() == Approx(0.5));
}

TEST_CASE("a display that never changes is not taken for live", "[procedure][heading]") {
  const auto display = read_display(shown(steady_then(75.0, 75.0)), 20.0, 1);
  REQUIRE(display.has_value());
  CHECK_FALSE(display.value().log.alive);
  CHECK(display.value().log.step.in_deg() == Approx(1.0));
}

TEST_CASE("too short a log of a display is refused by its number", "[procedure][heading]") {
  const auto display = read_display(shown(steady_then(75.0, 76.0, 5)), 20.0, 2);
  REQUIRE_FALSE(display.has_value());
  CHECK(display.error().where == "log 2, the sensor log");
}

TEST_CASE("a block shows the mean of what the display follows of a step",
          "[procedure][heading][closed-form]") {
  using Kind = DisplayResponse::Kind;
  // One second from the step on, T = 2 s: the lag's mean is 1 - 2 (1 - e^-1/2) = 0.2131, the
  // fading one's the rest of it.
  CHECK(shown_share({}, 5.0, 5.0, 6.0) == Approx(1.0));
  CHECK(shown_share({}, 5.0, 4.5, 5.5) == Approx(0.5));
  CHECK(shown_share({Kind::lag, 2.0}, 5.0, 5.0, 6.0) == Approx(0.2130613));
  CHECK(shown_share({Kind::fade, 2.0}, 5.0, 5.0, 6.0) == Approx(0.7869387));
  CHECK(shown_share({Kind::lag, 2.0}, 5.0, 3.0, 4.0) == 0.0);
}

TEST_CASE("the scale of responses runs from a slow lag over sharp to a quick fade",
          "[procedure][heading]") {
  const auto scale = response_scale();
  // Of a step held for 20 s, the share shown at its end falls along the scale after rising to one.
  double before = 0.0;
  bool sharp = false;
  for (const DisplayResponse& response : scale) {
    const double share = shown_share(response, 0.0, 19.0, 20.0);
    if (response.kind == DisplayResponse::Kind::sharp) sharp = true;
    if (response.kind == DisplayResponse::Kind::lag) CHECK(share >= before);
    if (response.kind == DisplayResponse::Kind::fade) CHECK(share <= before);
    before = share;
  }
  CHECK(sharp);
}

TEST_CASE("repeats of one number: the odd one out is set aside, two against each other are not",
          "[procedure][heading]") {
  using What = disturbance::VisitReading::What;
  const auto alike = read_turns({{1.0, 0.05}, {1.05, 0.05}, {0.96, 0.05}}, 0.0);
  CHECK_FALSE(alike.contested);
  const auto skipped = read_turns({{1.0, 0.05}, {0.02, 0.05}, {0.96, 0.05}}, 0.0);
  CHECK_FALSE(skipped.contested);
  CHECK(skipped.visits[1].what == What::skipped);
  const auto other = read_turns({{1.0, 0.05}, {0.97, 0.05}, {2.5, 0.05}}, 0.0);
  CHECK(other.visits[2].what == What::unknown);
  CHECK(read_turns({{1.0, 0.05}, {0.0, 0.05}}, 0.0).contested);
  CHECK(read_turns({{1.0, 0.05}, {0.0, 0.05}, {2.0, 0.05}}, 0.0).contested);
  // One step of a coarse display is no disagreement.
  CHECK_FALSE(read_turns({{1.0, 0.05}, {1.35, 0.05}}, 0.5).contested);
}
