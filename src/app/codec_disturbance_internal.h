// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <vector>

#include "app/analyse_disturbance.h"

namespace qn::disturbance_json {

using Json = nlohmann::ordered_json;

// JSON has no NaN: a number that is none is null.
Json number(double value);
Json numbers(const std::vector<double>& values);
Json vector(const Vector3& values);
Json degrees(Angle angle);
Json band(const Band95& b);  ///< degrees
Json verdict(const Verdict& verdict);

/// Level and over all headings; the curve every 5 degrees.
void add_heading_error(Json& out, const FieldHeadingError& heading);
Json curve(const FieldHeadingError& heading);

Json devices(const std::vector<DeviceEffect>& devices);
Json combinations(const std::vector<CombinationEffect>& combinations);

/// Column by column; every so many points when there are more than the page can draw.
Json trace(const RunTrace& trace);

}  // namespace qn::disturbance_json
