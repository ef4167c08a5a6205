// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/place.h"
#include "earth/geomagnetic.h"
#include "vocab/result.h"

namespace qn {

/// The answer of `quietnorth earth`.
struct EarthReport {
  PlaceAndDay where;
  EarthField field;
};

/// at, on   option --at LAT,LON[,ALT_m] and option --on YYYY-MM-DD, as typed
/// errors   OutOfRange, naming the option
Result<EarthReport> earth_at(const std::optional<std::string>& at,
                             const std::optional<std::string>& on);

/// Schema quietnorth/earth/1 (docs/formats/earth-json.md).
std::string to_json(const EarthReport& report);

/// What a person must know before using the numbers: zones, poles, the end of the model's years.
/// Whole sentences; often none.
std::vector<std::string> remarks_on(const EarthReport& report);

}  // namespace qn
