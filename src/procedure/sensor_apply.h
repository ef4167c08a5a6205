// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/sensor_fit.h"
#include "vocab/sample.h"

namespace qn {

/// One sample with the correction applied.
struct CorrectedSample {
  Vector3 field_uT{};        ///< in the frame of the fit
  double heading_deg = 0.0;  ///< magnetic; levelled by roll and pitch when the log has them
  Band95 heading_95;         ///< correction and one sample's noise; lo may be below 0
};

/// Applies a solved correction to a recording of the same sensor.
///
/// noise_sigma_uT  of one sample, from the fit
/// returns  as many samples as the recording; roll and pitch that are missing count as level
std::vector<CorrectedSample> apply_to_recording(const SensorCorrection& correction,
                                                double noise_sigma_uT,
                                                const SensorRecording& recording);

}  // namespace qn
