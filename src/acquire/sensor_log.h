// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "acquire/byte_source.h"
#include "acquire/column_names.h"
#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

struct SensorLogOptions {
  std::string shown_name;               ///< for messages; empty: the file name in the path
  std::vector<std::string> column_map;  ///< NAME=COLUMN each, as given to --map
  LogNeeds needs = LogNeeds::field;     ///< of a heading log, `field` stays empty
  /// Told how far it is, 0 to 1, about a hundred times, from any thread but never from two at
  /// once. Returning false ends the reading with an Error (Io).
  std::function<bool(double fraction)> progress;
  unsigned threads = 0;  ///< 0: as many as the machine has; the result does not depend on it
};

/// Reads a sensor log (docs/formats/sensor-log.md) and mends what can be mended.
///
/// returns  times strictly increasing, as the file has them (only a clock that counts from a date
/// is
///          moved to start at 0); every repair is counted in `tally` and said in its remarks
/// errors   BadInput with file, line and column; OutOfRange for a wrong column_map entry; Io when
///          `progress` asked to stop or memory ran out
/// cost     one pass on all threads; memory: the recording and a few blocks of 256 KiB
Result<SensorRecording> read_sensor_log(const std::string& path, const SensorLogOptions& options);

/// The same from bytes that are at hand already.
Result<SensorRecording> read_sensor_log(const ByteSource& source, const SensorLogOptions& options);

}  // namespace qn
