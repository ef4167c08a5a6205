// SPDX-License-Identifier: Apache-2.0
#include "procedure/recording_at_rest.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include "procedure/sensor_checks_internal.h"

namespace qn {
namespace {

constexpr std::array<char, 3> kAxisName{'x', 'y', 'z'};

double smallest_step(const std::vector<double>& values) {
  double step = std::numeric_limits<double>::infinity();
  for (std::size_t k = 1; k < values.size(); ++k) {
    const double moved = std::abs(values[k] - values[k - 1]);
    if (moved > 0.0) step = std::min(step, moved);
  }
  return step;
}

double extent(const std::vector<double>& values) {
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  return *high - *low;
}

// A coarse sensor may stand on one number for an hour and be sound. One that shows steps far
// smaller than what the other axes do has noise on every axis, or it is stuck.
constexpr double kStepsThatShowLife = 20.0;

std::optional<Error> check_each_axis(const SensorRecording& log) {
  bool resolves = false;
  for (const auto& axis : log.field) {
    resolves = resolves || extent(axis) > kStepsThatShowLife * smallest_step(axis);
  }
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (!resolves || extent(log.field[axis]) > 0.0) continue;
    return Error{ErrorKind::BadInput,
                 fmt::format("field {} is {:g} µT in all {} samples while the other axes move",
                             kAxisName[axis], log.field[axis].front(), log.size()),
                 fmt::format("the sensor log, column field_{}_uT", kAxisName[axis]),
                 "an axis that shows at least the sensor's own noise",
                 "check the sensor and the column's name (--map), then record again: what an axis "
                 "does not show cannot be added later"};
  }
  return std::nullopt;
}

constexpr double kLeastDuration_s = 10.0;  // less holds no rest, no step and no drift

std::optional<Error> check_duration(const SensorRecording& log) {
  const double duration = log.time_s.back() - log.time_s.front();
  if (duration >= kLeastDuration_s) return std::nullopt;
  return Error{ErrorKind::BadInput,
               fmt::format("the recording is {:.1f} s long: {} samples", duration, log.size()),
               "the sensor log",
               fmt::format("{:.0f} s at the very least; a run takes minutes", kLeastDuration_s),
               "record the whole run, with a rest before the first switch and after the last"};
}

std::optional<Error> check_turning_words(std::optional<Error> error) {
  if (!error) return error;
  // The same fault, but nobody turns the sensor in this run.
  error->expected = "readings with at least the sensor's own noise, for the whole run";
  error->remedy = "check the sensor's cable and the logger, then record again";
  return error;
}

}  // namespace

std::optional<Error> check_recording_at_rest(const SensorRecording& recording,
                                             const LocalField& earth) {
  if (recording.unit != FieldUnit::microtesla) {
    return Error{ErrorKind::BadInput,
                 "the log holds the sensor's own counts, and nothing says how many make a µT",
                 "the sensor log, columns field_x_raw, field_y_raw, field_z_raw",
                 "a field in microtesla: field_x_uT, field_y_uT, field_z_uT",
                 "turn the same sensor and solve it with `quietnorth sensor fit TURN.csv --json > "
                 "fit.json`, then correct this log with `quietnorth sensor apply fit.json LOG "
                 "--out corrected.csv` and analyse that one"};
  }
  if (auto dead = check_turning_words(sensor_model::check_alive(recording))) return dead;
  if (auto brief = check_duration(recording)) return brief;
  if (auto stuck = check_each_axis(recording)) return stuck;
  const sensor_model::Spread at_rest{};
  return sensor_model::check_unit(recording, at_rest, earth.horizontal_uT, earth.total_uT());
}

SensorRecording in_body_axes(SensorRecording recording, const Rotation<Body, Sensor>& mounting) {
  const auto turn = [&mounting](std::array<std::vector<double>, 3>& axes) {
    for (std::size_t k = 0; k < axes[0].size(); ++k) {
      const Vector3 turned = mounting.apply({axes[0][k], axes[1][k], axes[2][k]});
      for (std::size_t i = 0; i < 3; ++i) axes[i][k] = turned[i];
    }
  };
  turn(recording.field);
  turn(recording.accel_g);
  return recording;
}

}  // namespace qn
