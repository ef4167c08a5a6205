// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "vocab/result.h"

namespace qn {

struct ApplyRequest {
  std::string fit_path;  ///< document of `sensor fit --json`
  std::string log_path;
  std::vector<std::string> column_map;  ///< NAME=COLUMN each
};

struct AppliedLog {
  std::string csv;  ///< docs/formats/corrected-log.md
  std::size_t samples = 0;
  std::vector<std::string> remarks;
};

/// The log with the correction applied, and the heading with its 95 % band.
/// errors  BadInput when either file is unusable or the log is in another unit than the fit
Result<AppliedLog> apply_sensor_fit(const ApplyRequest& request);

}  // namespace qn
