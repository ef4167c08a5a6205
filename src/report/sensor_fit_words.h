// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/sensor_fit.h"
#include "report/honest_bars.h"
#include "report/sheet_frame.h"
#include "report/sheet_text.h"

namespace qn {

// The sentences of the sensor fit's sheet that are not in the fit itself.

/// How it was recorded, which field the Earth was taken to have, and whose axes the figures are of.
std::string recording_facts(const SensorFit& fit);
std::vector<HonestBar> before_and_after(const SensorFit& fit);
/// Beside the heading of the coverage plot, and a paragraph for a sheet with room.
std::string coverage_words(const SensorFit& fit);
std::string coverage_explanation(const SensorFit& fit);
Framed sensor_fit_caution();
Framed next_step(const SensorFit& fit);
TextList cannot_show(const SensorFit& fit);
TextList assumed(const SensorFit& fit);
TextList found(const SensorFit& fit);

}  // namespace qn
