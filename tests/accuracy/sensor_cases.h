// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "accuracy/sensor_bound.h"
#include "procedure/sensor_fit.h"
#include "simulate/sensor_recording_maker.h"

namespace qn::accuracy {

/// One simulated recording and what an estimator is told about it. The truth is drawn from the very
/// spreads that the estimator states as its assumptions: only then does coverage mean anything.
struct SensorCase {
  simulate::RecordingPlan plan;
  SensorFitOptions options;  ///< known headings or stations are filled in from the recording
  Gauge gauge = Gauge::symmetric;
  bool level = false;
  bool headings = false;
};

/// sensor-tumble, sensor-swing, sensor-stations, sensor-tumble-attitude, sensor-outliers
std::vector<std::string> sensor_table_names();

/// How the cases of a table are drawn, one sentence for the reader of the table.
std::string how_drawn(std::string_view table);

/// table must be one of sensor_table_names(). The same seed draws the same case.
SensorCase draw_case(std::string_view table, std::uint64_t seed);

}  // namespace qn::accuracy
