// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/analyse_disturbance.h"

namespace qn {

/// Schema quietnorth/disturbance/1 (docs/formats/disturbance-json.md). No NaN: a number that the
/// run cannot give is null.
std::string to_json(const DisturbanceDocument& document);

}  // namespace qn
