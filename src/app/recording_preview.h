// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// The lowest and highest field in each of many short pieces of a recording, to draw it at any
/// width without losing a spike. Channels: x, y, z, and the field's size.
struct FieldSeries {
  double from_s = 0.0;
  double to_s = 0.0;
  bool every_sample = false;   ///< each piece is one sample: lowest and highest are the same
  std::vector<double> time_s;  ///< start of each piece
  std::array<std::vector<float>, 4> lowest, highest;
};

/// What can be said of a recording before it is solved. Its size in memory has a bound, however
/// long the recording is.
struct RecordingPreview {
  std::size_t samples = 0;
  double start_s = 0.0;
  double duration_s = 0.0;
  double rate_Hz = 0.0;  ///< by the median interval; 0 when there is none
  FieldUnit unit = FieldUnit::microtesla;
  std::vector<std::string> columns;  ///< in the names of docs/formats
  RecordingTally tally;
  FieldSeries pieces;  ///< the finest there is, at most kMostPieces

  static constexpr std::size_t kMostPieces = std::size_t{1} << 20;
};

/// shown_name  for messages, in place of the path
/// column_map  NAME=COLUMN each, as `--map`
/// errors      those of reading the recording
Result<RecordingPreview> preview_recording(const std::string& path, const std::string& shown_name,
                                           const std::vector<std::string>& column_map);

/// From samples that are already there.
RecordingPreview preview_of(const SensorRecording& recording);

/// The part from `from_s` to `to_s` in at most `points` pieces; one more piece on each side when
/// there is one, so that a drawn line runs on to the frame.
FieldSeries part_of(const RecordingPreview& preview, double from_s, double to_s,
                    std::size_t points);

}  // namespace qn
