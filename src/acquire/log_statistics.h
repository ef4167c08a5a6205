// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "acquire/sensor_log.h"
#include "vocab/result.h"

namespace qn {

/// Of one column's numbers, in the file's own unit.
struct ColumnStatistics {
  std::string name;  ///< as in the header
  std::size_t count = 0;
  std::size_t missing = 0;  ///< empty, NaN, infinite or text
  double min = 0.0;         ///< these four are 0 when count is 0
  double max = 0.0;
  double mean = 0.0;
  double standard_deviation = 0.0;  ///< with count - 1; 0 for fewer than two
};

struct LogStatistics {
  std::size_t rows = 0;
  std::vector<ColumnStatistics> columns;  ///< all columns, in the order of the file
};

/// What is in a log, in one pass, without keeping it: memory stays flat whatever the length.
///
/// errors  as read_sensor_log, but columns may have any names and hold anything; rows with more
///         cells than the header, lines too long and open quotes are refused
/// The result does not depend on the number of threads. column_map is not used.
Result<LogStatistics> log_statistics(const std::string& path, const SensorLogOptions& options);
Result<LogStatistics> log_statistics(const ByteSource& source, const SensorLogOptions& options);

}  // namespace qn
