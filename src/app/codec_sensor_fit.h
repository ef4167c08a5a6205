// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/sensor_fit.h"
#include "vocab/result.h"

namespace qn {

/// What `sensor apply` needs of a sensor-fit document.
struct StoredCorrection {
  SensorCorrection correction;
  FieldUnit raw_unit = FieldUnit::microtesla;
  FitFrame frame = FitFrame::sensor;
  double noise_sigma_uT = 0.0;
};

/// Reads a document written by to_json(FitDocument).
/// errors  BadInput naming the file: not JSON, another schema, a missing key, no correction solved
Result<StoredCorrection> parse_sensor_fit(const std::string& text, const std::string& name);

}  // namespace qn
