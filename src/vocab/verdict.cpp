// SPDX-License-Identifier: Apache-2.0
#include "vocab/verdict.h"

namespace qn {

std::string_view to_word(VerdictState state) {
  switch (state) {
    case VerdictState::within: return "within";
    case VerdictState::over: return "over";
    case VerdictState::unproven: break;
  }
  return "unproven";
}

VerdictState judge(const Band95& band, const Limit& limit) {
  if (band.hi <= limit.value) return VerdictState::within;
  if (band.lo > limit.value) return VerdictState::over;
  return VerdictState::unproven;  // a band that is not a number lands here as well
}

}  // namespace qn
