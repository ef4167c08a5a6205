// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/codec_air_legs.h"

namespace qn {

/// Whether the first line that says anything is a sentence of NMEA 0183.
bool looks_like_nmea(const std::string& bytes);

/// RMC says the time, RMC or VTG track and ground speed, HDG or HDM what the display shows.
/// errors  BadInput naming the file: no time, no heading from magnetic north, no ground velocity
Result<AirFile> flight_of_nmea(const std::string& bytes, const std::string& name);

}  // namespace qn
