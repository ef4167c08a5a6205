// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace qn {

enum class NmeaChecksum { absent, right, wrong };

/// One sentence of NMEA 0183, cut at its commas.
struct NmeaSentence {
  std::string_view talker;  ///< "HC"; any length, as proprietary ones differ
  std::string_view type;    ///< "HDG"
  std::vector<std::string_view> fields;
  NmeaChecksum checksum = NmeaChecksum::absent;

  /// A field as a finite number; nothing when it is absent, empty or no number.
  std::optional<double> number(std::size_t field) const;
  std::string_view text(std::size_t field) const;
};

/// Finds the sentence in a line: from the last '$' (or '!') on, whatever stands before it (a time
/// stamp, a tag block, the half of a sentence that was cut off).
///
/// returns  nothing when the line holds no sentence; the views point into `line`
std::optional<NmeaSentence> nmea_sentence(std::string_view line);

/// All characters between '$' and '*', exclusive or'ed.
std::uint8_t nmea_checksum(std::string_view between);

}  // namespace qn
