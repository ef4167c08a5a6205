// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace qn {

/// The computer's clock as ISO 8601 to the second: 2026-05-14T08:00:00Z.
std::string utc_now();

/// Seconds since 1970 in ISO 8601, to a tenth: "2026-05-14T10:22:33.4Z".
std::string utc_text(double since_1970_s);

}  // namespace qn
