// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

namespace qn {

enum class FieldUnit {
  microtesla,
  counts,  ///< the sensor's own numbers; the scale is solved
};

/// What a reader mended or left out, so that nothing happens silently.
struct RecordingTally {
  std::size_t rows = 0;           ///< data rows met
  std::size_t missing_cells = 0;  ///< empty or NaN cells (the row is dropped when it is the field)
  std::size_t dropped_rows = 0;   ///< rows without a usable time and field
  std::size_t duplicate_times = 0;  ///< same time as the row before; the first is kept
  std::size_t backward_times = 0;   ///< time went back; row dropped
  std::size_t gaps = 0;             ///< pauses longer than five times the median interval
  double longest_gap_s = 0.0;
  double median_interval_s = 0.0;
  std::vector<std::string> remarks;  ///< one sentence each, for people
};

/// One sensor's recording, column by column (structure of arrays), times strictly increasing.
///
/// time_s   seconds from the recording's start, monotonic
/// field    sensor axes, in `unit`; all finite
/// optional columns are empty, or as long as time_s with NaN where a cell was missing
struct SensorRecording {
  FieldUnit unit = FieldUnit::microtesla;
  std::vector<double> time_s;
  std::array<std::vector<double>, 3> field;
  std::vector<double> roll_deg;
  std::vector<double> pitch_deg;
  std::array<std::vector<double>, 3> accel_g;  ///< specific force: (0, 0, -1) level and at rest
  std::vector<double> heading_deg;
  std::vector<double> current_A;
  std::vector<double> temperature_C;
  RecordingTally tally;

  std::size_t size() const { return time_s.size(); }
};

/// One row of a stations file: the aircraft stood on `station_deg` (magnetic).
struct Station {
  double station_deg = 0.0;
  double roll_deg = 0.0;   ///< NaN when not given
  double pitch_deg = 0.0;  ///< NaN when not given
};

/// The aircraft pointed at `heading_deg` (magnetic) at `time_s` of the recording.
struct KnownHeading {
  double time_s = 0.0;
  double heading_deg = 0.0;
};

}  // namespace qn
