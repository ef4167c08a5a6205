// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "vocab/angle.h"

namespace qn {

/// What a display's heading comes from.
enum class HeadingSource {
  magnetic,  ///< the sensor alone: a step shows at once and stays
  blended,   ///< with a gyro: a step comes slowly, or fades
  unknown,
};
std::string_view to_word(HeadingSource source);
std::optional<HeadingSource> heading_source_from(std::string_view word);

/// How a display follows a step of the magnetic heading.
struct DisplayResponse {
  enum class Kind {
    sharp,  ///< at once, and it stays
    lag,    ///< 1 - exp(-t/T)
    fade,   ///< exp(-t/T): the gyro's part wins in the end
  };
  Kind kind = Kind::sharp;
  double time_constant_s = 0.0;  ///< T; 0 when sharp

  friend bool operator==(const DisplayResponse&, const DisplayResponse&) = default;
};
std::string_view to_word(DisplayResponse::Kind kind);

/// The display over one log.
struct DisplayLog {
  Angle aircraft_heading;  ///< magnetic, 0 to 360
  bool heading_from_display = false;
  Angle shown_at_rest;
  Angle step;         ///< what it rounds to; 0: too fine to see
  bool alive = true;  ///< it changed at least once
};

/// What an answer from headings alone rests on.
struct HeadingOnly {
  HeadingSource source = HeadingSource::unknown;
  std::vector<DisplayLog> logs;
  /// None: not found, and then every size is unproven. Slowest and fastest are the ends of the
  /// 95 % interval on the scale that runs from a slow lag over sharp to a quick fade.
  std::optional<DisplayResponse> response, response_from, response_to;
};

}  // namespace qn
