// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "app/analyse_disturbance.h"
#include "vocab/field_vector.h"
#include "vocab/frame.h"

namespace qn {

/// The options of a request, judged; the equipment is not read here.
struct ParsedDisturbanceOptions {
  DisturbanceOptions options;
  Rotation<Body, Sensor> mounting = Rotation<Body, Sensor>::identity();
  bool accelerometer_reads_down = false;
};

/// errors  OutOfRange naming the option
Result<ParsedDisturbanceOptions> parse_disturbance_options(const DisturbanceRequest& request);

/// A log that holds a heading and no field is not a broken sensor log: says what it would take.
/// Gives `error` back when the log is no such log, or cannot be read at all.
Error explained_heading_log(Error error, const DisturbanceRequest& request);

}  // namespace qn
