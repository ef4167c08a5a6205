// SPDX-License-Identifier: Apache-2.0
#include "procedure/disturbance_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/disturbance_attitude_internal.h"
#include "procedure/disturbance_result_internal.h"

namespace qn {
namespace {

using namespace disturbance;

constexpr double kShortest_s = 10.0;

std::optional<Error> check_log(const SensorRecording& log) {
  if (log.unit != FieldUnit::microtesla) {
    return Error{ErrorKind::BadInput, "the log holds raw counts, whose scale is not known here",
                 "the sensor log", "a field in microtesla",
                 "solve the sensor first (quietnorth sensor fit) and apply it (sensor apply)"};
  }
  const double duration = log.size() > 1 ? log.time_s.back() - log.time_s.front() : 0.0;
  if (duration < kShortest_s || log.size() < 40) {
    return Error{ErrorKind::BadInput,
                 fmt::format("the log lasts {:.1f} s and has {} samples", duration, log.size()),
                 "the sensor log", "at least 10 s and 40 samples, better many minutes",
                 "record the whole run, with half a minute of rest before and after it"};
  }
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::vector<double>& y = log.field[axis];
    if (std::any_of(y.begin(), y.end(), [&](double value) { return value != y.front(); })) continue;
    return Error{ErrorKind::BadInput,
                 fmt::format("field {} is {:g} in every row", "xyz"[axis], y.front()),
                 "the sensor log", "readings that move, if only by noise, on all three axes",
                 "check that the column is the right one and that the sensor is alive"};
  }
  return std::nullopt;
}

double matters_uT(const DisturbanceOptions& options) {
  const double limit = std::min(options.limit.value.in_rad(), 1.5);
  return 0.1 * options.earth.horizontal_uT * std::sin(limit);
}

// Where the log tells how the airframe moved, that is taken out; it need not be feared any more.
struct HeldStill {
  SensorRecording recording;
  DisturbanceOptions options;
};

std::optional<HeldStill> held_still(const SensorRecording& recording,
                                    const DisturbanceOptions& options) {
  if (recording.roll_deg.empty() && recording.accel_g[0].empty()) return std::nullopt;
  HeldStill out{recording, options};
  if (!hold_still(out.recording)) return std::nullopt;
  out.options.rigid = true;
  return out;
}

}  // namespace

Result<DisturbanceRun> analyse_disturbance(const SensorRecording& given,
                                           const std::vector<Mark>& marks,
                                           const DisturbanceOptions& asked,
                                           const ParallelFor& parallel) {
  if (auto error = check_log(given)) return *error;
  const std::optional<HeldStill> held = held_still(given, asked);
  const SensorRecording& recording = held ? held->recording : given;
  const DisturbanceOptions& options = held ? held->options : asked;
  auto marked =
      understand_marks(marks, options.equipment, recording.time_s.front(), recording.time_s.back());
  if (!marked) return marked.error();

  Solved solved;
  solved.run = std::move(marked).value();
  solve_run(recording, matters_uT(options), parallel, solved);

  DisturbanceRun run;
  run.earth = options.earth;
  run.limit = options.limit;
  run.from_s = recording.time_s.front();
  run.to_s = recording.time_s.back();
  run.noise = noise_of(solved, recording);
  run.common_delay_s = -solved.delays.common_s;  // marks after what they mark count positive
  run.common_delay_sigma_s = solved.delays.common_sigma_s;
  const JointFields joint = joint_fields(solved, options);
  run.devices = device_effects(solved, joint, marks, recording, options);
  add_combinations(solved, joint, options, run);
  run.unexplained = unexplained_of(solved, joint, options);
  run.trace = trace_of(solved);
  put_into_words(solved, options, run);
  if (held) {
    run.assumptions.emplace_back(
        "What the airframe's own movement does was taken out by the attitude in the log; its "
        "heading "
        "is taken to have stayed.");
  }
  return run;
}

}  // namespace qn
