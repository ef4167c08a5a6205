// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_heading.h"

#include <cmath>

namespace qn::simulate {
namespace {

constexpr double kDegPerRad = 57.29577951308232;

double turn_to(double to_deg, double from_deg) {
  double turn = std::fmod(to_deg - from_deg, 360.0);
  if (turn > 180.0) turn -= 360.0;
  if (turn <= -180.0) turn += 360.0;
  return turn;
}

}  // namespace

WorstError worst_heading_error_of(const Vector3& field_body_uT, double horizontal_uT) {
  // Exactly nothing, and not the rounding of the arc tangents.
  if (field_body_uT[0] == 0.0 && field_body_uT[1] == 0.0) return {};
  SensorTruth sensor;
  sensor.true_field.horizontal_uT = horizontal_uT;
  sensor.hard_iron_uT = field_body_uT;
  WorstError worst = worst_heading_error(sensor, {}, 0.0, 0.0);
  if (std::hypot(field_body_uT[0], field_body_uT[1]) >= horizontal_uT) worst.size_deg = 180.0;
  return worst;
}

SensorRecording displayed_heading(const SensorRecording& run, const HeadingDisplay& display) {
  SensorRecording out;
  out.time_s = run.time_s;
  out.tally = run.tally;
  double sensed_deg = 0.0;  // without a jump at north
  double slow_deg = 0.0;    // follows it with the time constant
  double start_deg = 0.0;
  for (std::size_t k = 0; k < run.size(); ++k) {
    const double now_deg = std::atan2(-run.field[1][k], run.field[0][k]) * kDegPerRad;
    if (k == 0) {
      sensed_deg = slow_deg = start_deg = now_deg;
    } else {
      sensed_deg += turn_to(now_deg, sensed_deg);
      // The sensed heading holds over the interval: exact for steps.
      const double interval_s = run.time_s[k] - run.time_s[k - 1];
      const double share = display.time_constant_s > 0.0
                               ? 1.0 - std::exp(-interval_s / display.time_constant_s)
                               : 1.0;
      slow_deg += share * (sensed_deg - slow_deg);
    }
    double shown_deg = sensed_deg;
    if (display.follows == HeadingDisplay::Follows::slowly) shown_deg = slow_deg;
    if (display.follows == HeadingDisplay::Follows::fading) {
      shown_deg = start_deg + sensed_deg - slow_deg;
    }
    if (display.step_deg > 0.0) {
      shown_deg = display.step_deg * std::round(shown_deg / display.step_deg);
    }
    shown_deg = std::fmod(std::fmod(shown_deg, 360.0) + 360.0, 360.0);
    out.heading_deg.push_back(shown_deg < 360.0 - 1e-9 ? shown_deg : 0.0);
  }
  return out;
}

}  // namespace qn::simulate
