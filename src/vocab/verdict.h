// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "vocab/angle.h"
#include "vocab/band.h"

namespace qn {

/// Never a bare pass or fail. `unproven` is an answer too: the data do not decide.
enum class VerdictState { within, over, unproven };

std::string_view to_word(VerdictState state);

/// A limit always says where it comes from.
struct Limit {
  Angle value;
  std::string basis;  ///< a published source, "your own limit", or kStartingLimitBasis
};

inline constexpr std::string_view kStartingLimitBasis =
    "starting limit of this program, not a published one";

struct Verdict {
  VerdictState state = VerdictState::unproven;
  std::optional<Limit> limit;  ///< none: nothing to judge against, so `unproven`
  std::string because;         ///< one sentence with the numbers
  std::string do_next;         ///< the one action that would settle it; empty when nothing is left
};

/// within: the band's upper end is at or under the limit. over: its lower end is above it.
/// Otherwise unproven.
VerdictState judge(const Band95& band, const Limit& limit);

}  // namespace qn
