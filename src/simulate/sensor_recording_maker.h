// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <variant>
#include <vector>

#include "simulate/motion_path.h"
#include "simulate/sensor_truth.h"
#include "vocab/sample.h"

namespace qn::simulate {

/// Standing still all the time.
struct AtRest {
  double seconds = 60.0;
  double heading_deg = 0.0;
};

/// What the clock and the cable do to the recording.
struct ClockTruth {
  double rate_hz = 20.0;
  double jitter_sigma_s = 0.0;  ///< error of each time stamp, kept within 0.4 of a step
  std::size_t gap_count = 0;    ///< stretches that are missing
  double gap_s = 2.0;
};

struct RecordingPlan {
  std::variant<Tumble, Swing, Stations, AtRest> motion;
  SensorTruth truth;
  ClockTruth clock;
  std::uint64_t seed = 1;
};

/// A recording, and beside it everything that an estimator must not see.
/// The vectors of truths are as long as the recording.
struct SimulatedRecording {
  SensorRecording recording;
  std::vector<Station> stations;             ///< the stations file; empty unless Stations
  std::vector<KnownHeading> known_headings;  ///< middles of the stops, as the rose calls them
  SensorTruth truth;
  std::vector<Matrix3> body_from_earth;
  std::vector<double> heading_deg;  ///< true, of the airframe
  std::vector<bool> disturbed;      ///< touched by passing steel or a spike
  std::vector<Stop> stops;
  double north_error_deg = 0.0;
};

/// Deterministic: the same plan gives the same numbers.
SimulatedRecording make_recording(const RecordingPlan& plan);

}  // namespace qn::simulate
