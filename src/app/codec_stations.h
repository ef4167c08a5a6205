// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// Reads a stations file (docs/formats/stations.md): the headings the aircraft stood on, in the
/// order they were visited. Headings are taken as they stand, magnetic or true.
///
/// errors  BadInput naming line and column: no station_deg, a heading outside 0 to below 360, text,
///         an empty heading, roll or pitch beyond 90 degrees, no rows
Result<std::vector<Station>> read_stations(const std::string& path,
                                           const std::string& shown_name = "");

/// The same from bytes at hand; `name` is used in messages.
Result<std::vector<Station>> parse_stations(const std::string& bytes, const std::string& name);

}  // namespace qn
