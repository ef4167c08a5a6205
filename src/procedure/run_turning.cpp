// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_turning.h"

#include <fmt/format.h>

#include <charconv>
#include <system_error>

namespace qn::run {
namespace {

constexpr const char* kTurningSafety =
    "This plan advises. The aircraft's papers, the local rules and the licensed person who signs "
    "decide how it may be moved. Ignition off, key out, people clear of propeller and surfaces; "
    "tow bar and chocks as the handbook says, one person at the brakes. Steel out of pockets, cars "
    "and tools away from the sensor.";

}  // namespace

Plan turning_plan(const std::vector<double>& stations_deg, double wait_s) {
  Plan plan;
  plan.procedure = "sensor";
  plan.safety = kTurningSafety;
  plan.first_rest_s = 10.0;
  plan.wanted = Angle::degrees(90.0);  // nothing is waited for but time
  plan.R_uT2_s = 0.01;
  plan.q_uT2_per_s = 1e-4;
  plan.caution_of_group = {""};
  for (const double station_deg : stations_deg) {
    Step step;
    step.device = station_name(station_deg);
    step.state = kOnStation;
    step.say = fmt::format("Turn the aircraft to {} and let it stand.", step.device);
    step.label = fmt::format("It stands on {}", step.device);
    step.listens = false;
    step.offers = false;
    step.place = true;
    step.wait_s = wait_s;
    plan.steps.push_back(step);
    plan.devices.emplace_back(step.device, std::vector<std::string>{"", kOnStation});
  }
  return plan;
}

std::vector<double> even_stations_deg(std::size_t count) {
  std::vector<double> stations;
  for (std::size_t i = 0; i < count; ++i) {
    stations.push_back(360.0 * static_cast<double>(i) / static_cast<double>(count));
  }
  return stations;
}

std::string station_name(double station_deg) { return fmt::format("{:0>3g}", station_deg); }

std::optional<double> station_of(const std::string& device) {
  double value = 0.0;
  const char* end = device.data() + device.size();
  const auto [stop, failed] = std::from_chars(device.data(), end, value);
  if (failed != std::errc{} || stop != end || !(value >= 0.0 && value < 360.0)) {
    return std::nullopt;
  }
  return value;
}

}  // namespace qn::run
