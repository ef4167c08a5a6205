// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/swing_rose.h"
#include "vocab/result.h"

namespace qn {

/// Which north the directions of a rose file are from.
enum class RoseNorth { as_stations, magnetic, true_north };

struct RoseFile {
  Rose rose;  ///< directions as the file has them
  RoseNorth north = RoseNorth::as_stations;
};

/// Reads a rose that was made at home and surveyed (docs/formats/rose.md).
///
/// errors  BadInput naming line and column: a column or number that is missing, a direction outside
///         0 to 360, two marks of one name, two values of north_sigma_deg
Result<RoseFile> read_rose_file(const std::string& path, const std::string& shown_name);
Result<RoseFile> parse_rose_file(const std::string& bytes, const std::string& name);

}  // namespace qn
