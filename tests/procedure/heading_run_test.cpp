// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/heading_log.h"

using namespace qn;
using namespace qn::tests;

namespace {

using Follows = simulate::HeadingDisplay::Follows;

constexpr Vector3 kLamp{2.0, 1.0, 0.0};  // asin(2.236 / 20) = 6.42 degrees
constexpr Vector3 kFan{-0.5, 1.4, 0.0};  // asin(1.487 / 20) = 4.26 degrees
constexpr Vector3 kQuiet{0.0, 0.0, 0.0};

DisplayRun lamp_and_fan(const simulate::HeadingDisplay& display = {}) {
  return display_run({{"lamp", kLamp}, {"fan", kFan}, {"radio", kQuiet}}, display);
}

bool holds(const Band95& band, double deg) {
  return band.lo.in_deg() <= deg && band.hi.in_deg() >= deg;
}

std::string everything_said(const DisturbanceRun& run) {
  std::string out = run.sentence + run.verdict.because + run.verdict.do_next;
  for (const DeviceEffect& device : run.devices) {
    for (const std::string& remark : device.remarks) out += remark;
    for (const StateEffect& state : device.states) {
      out += state.verdict.because + state.verdict.do_next;
    }
  }
  return out;
}

}  // namespace

TEST_CASE("two headings of a display size the devices as two axes would",
          "[procedure][heading][synthetic]") {
  const DisplayRun made = lamp_and_fan();
  const auto run = made.analyse({made.on(40.0, 1), made.on(130.0, 2)});
  REQUIRE(run.has_value());
  const StateEffect& lamp = device_of(run.value(), "lamp").states[0];
  const StateEffect& fan = device_of(run.value(), "fan").states[0];
  CHECK(holds(lamp.heading.worst_95, 6.419));
  CHECK(holds(fan.heading.worst_95, 4.263));
  CHECK(lamp.field.field_uT[0] == Approx(2.0).margin(0.15));
  CHECK(lamp.field.field_uT[1] == Approx(1.0).margin(0.15));
  CHECK(lamp.verdict.state == VerdictState::over);
  const StateEffect& radio = device_of(run.value(), "radio").states[0];
  CHECK(radio.verdict.state == VerdictState::within);
  CHECK(radio.no_effect_seen);
  // In bank and pitch the vertical part counts, of which a display says nothing.
  CHECK(lamp.field.field_uT[2] == 0.0);
  CHECK(lamp.heading.worst_tilted_95.hi.in_deg() >= 180.0);
}

TEST_CASE("one heading leaves every device unproven and says to turn the aircraft",
          "[procedure][heading][synthetic]") {
  const DisplayRun made = lamp_and_fan();
  const auto run = made.analyse({made.on(40.0, 1)});
  REQUIRE(run.has_value());
  for (const DeviceEffect& device : run.value().devices) {
    const StateEffect& state = device.states[0];
    CHECK(state.verdict.state == VerdictState::unproven);
    CHECK(state.unproven);
    CHECK_FALSE(state.no_effect_seen);
    CHECK(state.heading.worst_95.hi.in_deg() >= 180.0);
    CHECK(state.verdict.do_next.find("about 90 degrees") != std::string::npos);
  }
  CHECK(run.value().verdict.state == VerdictState::unproven);
  CHECK(everything_said(run.value()).find("No effect") == std::string::npos);
  for (const CombinationEffect& sum : run.value().combinations) {
    CHECK(sum.verdict.state == VerdictState::unproven);
  }
}

TEST_CASE("headings in one line are one heading", "[procedure][heading][synthetic]") {
  const DisplayRun made = lamp_and_fan();
  const auto run = made.analyse({made.on(40.0, 1), made.on(217.0, 2)});
  REQUIRE(run.has_value());
  CHECK(device_of(run.value(), "lamp").states[0].unproven);
  CHECK(run.value().verdict.do_next.find("about 90 degrees") != std::string::npos);
}

TEST_CASE("three headings are all used", "[procedure][heading][synthetic]") {
  const DisplayRun made = lamp_and_fan({1.0, {}, 0.0});
  const auto two = made.analyse({made.on(40.0, 1), made.on(130.0, 2)});
  const auto three = made.analyse({made.on(40.0, 1), made.on(130.0, 2), made.on(265.0, 3)});
  REQUIRE((two.has_value() && three.has_value()));
  const auto width = [](const DisturbanceRun& run) {
    const Band95& band = device_of(run, "fan").states[0].heading.worst_95;
    return (band.hi - band.lo).in_deg();
  };
  CHECK(holds(device_of(three.value(), "fan").states[0].heading.worst_95, 4.263));
  CHECK(width(three.value()) < width(two.value()));
}

TEST_CASE("below a display's step nothing is seen, and the band says how much that leaves open",
          "[procedure][heading][synthetic]") {
  // 0.35 degrees on a display of whole degrees and a very quiet sensor.
  DisplayRun made = display_run({{"lamp", kLamp}, {"dim", {0.0, 0.122, 0.0}}}, {1.0, {}, 0.0});
  made.settings.noise.white_sigma_uT = 0.002;
  const auto run = made.analyse({made.on(40.0, 1), made.on(130.0, 2)});
  REQUIRE(run.has_value());
  const StateEffect& dim = device_of(run.value(), "dim").states[0];
  CHECK(holds(dim.heading.worst_95, 0.35));
  CHECK(dim.heading.worst_95.hi.in_deg() > 0.6);
}

TEST_CASE("a display that lags, fades or follows at once is recognised by its strong steps",
          "[procedure][heading][synthetic]") {
  struct Case {
    Follows follows;
    double constant_s;
    DisplayResponse::Kind kind;
  };
  for (const Case& c : {Case{Follows::at_once, 0.0, DisplayResponse::Kind::sharp},
                        Case{Follows::slowly, 5.0, DisplayResponse::Kind::lag},
                        Case{Follows::fading, 30.0, DisplayResponse::Kind::fade}}) {
    const DisplayRun made = lamp_and_fan({0.1, c.follows, c.constant_s});
    const auto run = made.analyse({made.on(40.0, 1), made.on(130.0, 2)}, HeadingSource::unknown);
    REQUIRE(run.has_value());
    REQUIRE(run.value().heading_only);
    REQUIRE(run.value().heading_only->response);
    INFO(c.constant_s);
    CHECK(run.value().heading_only->response->kind == c.kind);
    if (c.constant_s > 0.0) {
      CHECK(run.value().heading_only->response->time_constant_s ==
            Approx(c.constant_s).epsilon(0.25));
    }
    CHECK(holds(device_of(run.value(), "lamp").states[0].heading.worst_95, 6.419));
    CHECK(holds(device_of(run.value(), "fan").states[0].heading.worst_95, 4.263));
    CHECK(device_of(run.value(), "radio").states[0].verdict.state == VerdictState::within);
  }
}

TEST_CASE("without a strong step a blended display leaves all unproven, never without effect",
          "[procedure][heading][synthetic]") {
  // 0.2 degrees each, on a display of tenths: seen, but not how it comes.
  const DisplayRun made =
      display_run({{"lamp", {0.05, 0.05, 0.0}}, {"radio", kQuiet}}, {0.1, Follows::slowly, 6.0});
  for (const HeadingSource source : {HeadingSource::blended, HeadingSource::unknown}) {
    const auto run = made.analyse({made.on(40.0, 1), made.on(130.0, 2)}, source);
    REQUIRE(run.has_value());
    CHECK_FALSE(run.value().heading_only->response);
    for (const DeviceEffect& device : run.value().devices) {
      CHECK(device.states[0].verdict.state == VerdictState::unproven);
      CHECK_FALSE(device.states[0].no_effect_seen);
    }
    CHECK(everything_said(run.value()).find("o effect") == std::string::npos);
    CHECK(run.value().verdict.do_next.find("steel tool") != std::string::npos);
  }
}

TEST_CASE("a lagging display taken at its word would be read too small",
          "[procedure][heading][synthetic]") {
  // Why the source matters: the same log, once as blended and once as if no gyro were there.
  const DisplayRun made = lamp_and_fan({0.1, Follows::slowly, 12.0});
  const std::vector<HeadingLog> logs{made.on(40.0, 1), made.on(130.0, 2)};
  const auto blended = made.analyse(logs, HeadingSource::blended);
  REQUIRE(blended.has_value());
  CHECK(holds(device_of(blended.value(), "lamp").states[0].heading.worst_95, 6.419));
  const auto at_its_word = made.analyse(logs, HeadingSource::magnetic);
  REQUIRE(at_its_word.has_value());
  CHECK(device_of(at_its_word.value(), "lamp").states[0].heading.worst.in_deg() < 5.8);
}

TEST_CASE("a device worked on one heading only is unproven beside others that are decided",
          "[procedure][heading][synthetic]") {
  const DisplayRun made = lamp_and_fan();
  HeadingLog second = made.on(130.0, 2);
  std::erase_if(second.marks, [](const Mark& mark) { return mark.device == "radio"; });
  const auto run = made.analyse({made.on(40.0, 1), second});
  REQUIRE(run.has_value());
  CHECK(device_of(run.value(), "lamp").states[0].verdict.state == VerdictState::over);
  const StateEffect& radio = device_of(run.value(), "radio").states[0];
  CHECK(radio.unproven);
  CHECK(radio.verdict.do_next.find("about 90 degrees") != std::string::npos);
}

TEST_CASE("the size in microtesla carries the error of H, the angle does not",
          "[procedure][heading][closed-form]") {
  // The display measures the angle itself: b / H. With H known to 5 % the field is known no
  // better, the heading error just as before.
  const DisplayRun made = lamp_and_fan();
  const std::vector<HeadingLog> logs{made.on(40.0, 1), made.on(130.0, 2)};
  DisturbanceOptions options = made.options();
  const auto sharp = analyse_heading_logs(logs, options, HeadingSource::magnetic, serial_for);
  options.earth.sigma_horizontal_uT = 1.0;
  const auto rough = analyse_heading_logs(logs, options, HeadingSource::magnetic, serial_for);
  REQUIRE((sharp.has_value() && rough.has_value()));
  const StateEffect& a = device_of(sharp.value(), "lamp").states[0];
  const StateEffect& b = device_of(rough.value(), "lamp").states[0];
  CHECK(a.heading.worst_95.hi.in_deg() == Approx(b.heading.worst_95.hi.in_deg()));
  const double size = b.field.field_uT[0];
  CHECK(b.field.covariance_uT2[0][0] - a.field.covariance_uT2[0][0] ==
        Approx(size * size * (1.0 - 0.1 * 0.1) / 400.0).epsilon(0.01));
}

TEST_CASE("marks that do not fit a further log are refused by its number", "[procedure][heading]") {
  const DisplayRun made = lamp_and_fan();
  HeadingLog second = made.on(130.0, 2);
  second.marks[0].device = "pump";
  const auto run = made.analyse({made.on(40.0, 1), second});
  REQUIRE_FALSE(run.has_value());
  INFO(run.error().where);
  CHECK(run.error().where.rfind("log 2, ", 0) == 0);
}
