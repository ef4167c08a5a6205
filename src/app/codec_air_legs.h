// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/air_check.h"
#include "procedure/steady_legs.h"
#include "vocab/result.h"

namespace qn {

/// Legs by hand, or a recording of the flight.
struct AirFile {
  bool is_log = false;
  std::vector<AirLeg> legs;           ///< by hand
  FlightLog log;                      ///< a recording
  std::vector<std::string> how_read;  ///< sentences
};

/// Legs or flight log in CSV, or a log of NMEA sentences (docs/formats/air-legs.md).
/// errors  BadInput naming file, line and column
Result<AirFile> read_air_file(const std::string& path, const std::string& shown_name);
Result<AirFile> parse_air_file(const std::string& bytes, const std::string& name);

}  // namespace qn
