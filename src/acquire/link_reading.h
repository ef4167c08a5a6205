// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <limits>
#include <string>

#include "vocab/field_vector.h"
#include "vocab/sample.h"

namespace qn {

/// Which north a heading that arrived is counted from, as far as the bytes say.
enum class HeadingNorth { unknown, magnetic, true_north };

/// What one line of a link said. Numbers that it did not say are NaN.
///
/// field    sensor axes, in `field_unit`
/// accel_g  specific force as the sensor gave it; its sign is the sensor's (sensor-log.md)
/// angles   roll right wing down, pitch nose up, headings clockwise from `heading_north`
struct LinkReading {
  static constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

  std::string source;  ///< who said it: "HCHDG", "lines", or the name before a typed reading
  double sensor_time_s = kNone;  ///< by the sensor's own clock, from wherever it counts
  FieldUnit field_unit = FieldUnit::microtesla;
  Vector3 field{kNone, kNone, kNone};
  Vector3 accel_g{kNone, kNone, kNone};
  double roll_deg = kNone;
  double pitch_deg = kNone;
  double heading_deg = kNone;  ///< as shown: no deviation or variation is applied
  HeadingNorth heading_north = HeadingNorth::unknown;
  double deviation_deg = kNone;  ///< east positive, as the sensor said it
  double variation_deg = kNone;  ///< east positive, as the sensor said it
  double current_A = kNone;
  double temperature_C = kNone;
  double track_true_deg = kNone;
  double track_magnetic_deg = kNone;
  double groundspeed_kt = kNone;
  double latitude_deg = kNone;
  double longitude_deg = kNone;
  double height_m = kNone;
  double utc_s = kNone;  ///< seconds since 1970-01-01T00:00Z, of a satellite receiver

  bool has_field() const {
    return std::isfinite(field[0]) && std::isfinite(field[1]) && std::isfinite(field[2]);
  }
};

}  // namespace qn
