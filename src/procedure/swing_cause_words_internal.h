// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/swing_solve.h"

namespace qn {

/// Looks at a doubtful reading as a person would, beside its cause by likelihood: two digits
/// swapped come nearer than a misreading, or the card lags as on the marks beside it.
void refine_cause(DoubtfulReading& reading, const SwingCompass& compass, double scatter_deg);

/// "misread by 10" and the like, as a sentence has it.
std::string cause_words(const DoubtfulReading& reading);

}  // namespace qn
