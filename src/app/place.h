// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "earth/local_field.h"
#include "vocab/position.h"
#include "vocab/result.h"
#include "vocab/time.h"

namespace qn {

// The words in which every command is told where and when a recording was made, so that the
// command line and the page refuse the same things in the same words.

/// A place and a day that the field model covers.
struct PlaceAndDay {
  GeodeticPoint place;
  CalendarDate date;
};

/// text     LAT,LON[,ALT_m]: decimal degrees, north and east positive; metres, 0 when left out
/// errors   OutOfRange, naming option --at
Result<GeodeticPoint> parse_place(std::string_view text);

/// at, on   option --at LAT,LON[,ALT_m] and option --on YYYY-MM-DD, as typed
/// errors   OutOfRange, naming the option: missing, malformed, not on Earth, outside the model
Result<PlaceAndDay> place_and_day_from(const std::optional<std::string>& at,
                                       const std::optional<std::string>& on);

/// The Earth's field from the model (--at with --on) or as measured (--horizontal-uT with
/// --vertical-uT, down positive): one pair or the other, never both.
///
/// returns  measured values carry kMeasuredSigma_uT each and no variation
/// errors   OutOfRange, naming the option
Result<LocalField> local_field_from(const std::optional<std::string>& at,
                                    const std::optional<std::string>& on,
                                    std::optional<double> horizontal_uT,
                                    std::optional<double> vertical_uT);

/// 1 sigma of a measured H or Z when nobody says better: our own assumption, always printed.
inline constexpr double kMeasuredSigma_uT = 0.1;

/// "-32.9, -68.8" or "-32.9, -68.8, 1400 m": what --at said, for documents.
std::string place_text(const GeodeticPoint& place);

}  // namespace qn
