// SPDX-License-Identifier: Apache-2.0
#include "procedure/sensor_fit.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "accuracy/sensor_cases.h"
#include "simulate/sensor_recording_maker.h"

namespace {

struct Made {
  qn::simulate::SimulatedRecording recording;
  qn::SensorFitOptions options;
};

Made made(const char* table, std::uint64_t seed) {
  const auto drawn = qn::accuracy::draw_case(table, seed);
  Made out{qn::simulate::make_recording(drawn.plan), drawn.options};
  if (drawn.headings) out.options.stations = out.recording.stations;
  return out;
}

}  // namespace

TEST_CASE("a level turn is never answered with a tumble's ellipsoid", "[procedure][synthetic]") {
  auto c = made("sensor-swing", 1000003);
  c.options.motion = qn::Motion::tumble;
  const auto fit = qn::fit_sensor(c.recording.recording, c.options, qn::serial_for);
  REQUIRE(fit.has_value());
  CHECK(fit.value().motion == qn::Motion::swing);
  REQUIRE(fit.value().correction);
  for (std::size_t i = 0; i < 3; ++i) {
    const double sigma = fit.value().correction->offset_sigma_uT[i];
    const double off = fit.value().correction->offset_uT[i] - c.recording.truth.hard_iron_uT[i];
    CHECK(std::abs(off) < 4.0 * sigma);
    CHECK(sigma < 25.0);
  }
}

TEST_CASE("without known headings the verdict is unproven and says so", "[procedure][synthetic]") {
  const auto c = made("sensor-tumble", 1000000);
  const auto fit = qn::fit_sensor(c.recording.recording, c.options, qn::serial_for);
  REQUIRE(fit.has_value());
  CHECK(fit.value().frame == qn::FitFrame::sensor);
  CHECK(fit.value().verdict.state == qn::VerdictState::unproven);
  bool yaw = false;
  for (const auto& u : fit.value().unobserved) yaw = yaw || u.name == "yaw angle of the sensor";
  CHECK(yaw);
}

TEST_CASE("stations tie the answer to the airframe", "[procedure][synthetic]") {
  const auto c = made("sensor-stations", 1000003);
  const auto fit = qn::fit_sensor(c.recording.recording, c.options, qn::serial_for);
  REQUIRE(fit.has_value());
  CHECK(fit.value().frame == qn::FitFrame::body);
  CHECK(fit.value().stations.size() == c.options.stations.size());
}

TEST_CASE("the answer does not depend on the number of threads", "[procedure][closed-form]") {
  const auto c = made("sensor-tumble", 1000002);
  const qn::ParallelFor backwards = [](std::size_t count,
                                       const std::function<void(std::size_t)>& task) {
    for (std::size_t i = count; i > 0; --i) task(i - 1);
  };
  const auto one = qn::fit_sensor(c.recording.recording, c.options, qn::serial_for);
  const auto other = qn::fit_sensor(c.recording.recording, c.options, backwards);
  REQUIRE(one.has_value());
  REQUIRE(other.has_value());
  CHECK(one.value().correction->matrix == other.value().correction->matrix);
  CHECK(one.value().after_worst_95 == other.value().after_worst_95);
}

TEST_CASE("a stuck sensor, one sample and a wrong unit are refused in words",
          "[procedure][closed-form]") {
  auto c = made("sensor-swing", 1000003);
  qn::SensorRecording stuck;
  stuck.time_s = {0.0, 0.1, 0.2};
  stuck.field = {std::vector<double>{1, 1, 1}, {2, 2, 2}, {3, 3, 3}};
  const auto same = qn::fit_sensor(stuck, c.options, qn::serial_for);
  REQUIRE_FALSE(same.has_value());
  CHECK(same.error().what.find("the same") != std::string::npos);

  qn::SensorRecording single;
  single.time_s = {0.0};
  single.field = {std::vector<double>{1}, {2}, {3}};
  CHECK_FALSE(qn::fit_sensor(single, c.options, qn::serial_for).has_value());

  auto nanotesla = c.recording.recording;
  nanotesla.unit = qn::FieldUnit::microtesla;
  for (auto& axis : nanotesla.field) {
    for (double& value : axis) value *= 1000.0;
  }
  const auto wrong = qn::fit_sensor(nanotesla, c.options, qn::serial_for);
  REQUIRE_FALSE(wrong.has_value());
  CHECK(wrong.error().what.find("nanotesla") != std::string::npos);
}

TEST_CASE("a recording at rest does not decide", "[procedure][synthetic]") {
  auto drawn = qn::accuracy::draw_case("sensor-swing", 1000003);
  drawn.plan.motion = qn::simulate::AtRest{};
  const auto recording = qn::simulate::make_recording(drawn.plan);
  const auto fit = qn::fit_sensor(recording.recording, drawn.options, qn::serial_for);
  REQUIRE(fit.has_value());
  CHECK_FALSE(fit.value().correction);
  CHECK(fit.value().verdict.state == qn::VerdictState::unproven);
}
