// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace qn {

/// The computer's clock as ISO 8601 to the second: 2026-05-14T08:00:00Z.
std::string utc_now();

}  // namespace qn
