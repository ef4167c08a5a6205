// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "vocab/result.h"

namespace qn {

/// A wind as it is written in a flight plan: where it comes from, and how fast.
struct WindGuess {
  double from_deg = 0.0, kt = 0.0;
};

/// Reads `FROM/KT`, such as `240/15`: degrees true, 0 to 360, and knots.
///
/// errors  OutOfRange: anything else
Result<WindGuess> wind_guess_from(std::string_view text);

}  // namespace qn
