// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "app/analyse_disturbance.h"
#include "vocab/field_vector.h"
#include "vocab/frame.h"

namespace qn {

/// The options of a request, judged; the equipment is not read here.
struct ParsedDisturbanceOptions {
  DisturbanceOptions options;
  HeadingSource heading_source = HeadingSource::unknown;
  Rotation<Body, Sensor> mounting = Rotation<Body, Sensor>::identity();
  bool accelerometer_reads_down = false;
};

/// errors  OutOfRange naming the option
Result<ParsedDisturbanceOptions> parse_disturbance_options(const DisturbanceRequest& request);

}  // namespace qn
