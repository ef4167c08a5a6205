// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn {

/// The two signs in which deviations are written down.
enum class DeviationSign {
  to_add,               ///< magnetic minus indicated: ours
  reading_minus_truth,  ///< indicated minus magnetic
};

struct SwingFileOptions {
  std::optional<double> subtract_variation_deg;  ///< given: the stations are true headings
  std::optional<DeviationSign> deviation_sign;   ///< needed for a column deviation_deg
};

struct SwingFile {
  std::vector<SwingReading> readings;
  std::size_t without_reading = 0;  ///< rows whose reading is empty
  /// Marks of such rows on which nothing was read in any other row, as the file has them.
  std::vector<double> left_out_deg;
  bool stations_named = false;   ///< there was a column station_deg
  bool from_deviations = false;  ///< there was a column deviation_deg and it was used
};

/// Reads a stations file (docs/formats/stations.md) with what the compasses showed: station_deg and
/// indicated_deg, or either of them with deviation_deg.
///
/// errors  BadInput naming line and column: no reading at all, a heading outside 0 to 360, text in
///         a number's place, a turn or loads with another word. OutOfRange naming --deviation-is
Result<SwingFile> read_swing_file(const std::string& path, const std::string& shown_name,
                                  const SwingFileOptions& options);
Result<SwingFile> parse_swing_file(const std::string& bytes, const std::string& name,
                                   const SwingFileOptions& options);

}  // namespace qn
