// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/disturbance_repeats_internal.h"

namespace qn::heading_only {

/// One visit of a state: by how much the display turned, in any unit, and 1 sigma.
struct TurnedOnce {
  double size = 0.0, sigma = 0.0;
};

/// Do the repeats of one state agree? A display shows one number, in which devices look alike: what
/// a visit was instead is not guessed, but for one that shows nothing.
///
/// A visit is set aside when the others, at least two, agree and it lies far from them; where no
/// one visit is at fault the state is contested, all visits kept. Differences up to `matters` are
/// none.
disturbance::RepeatsReading read_turns(const std::vector<TurnedOnce>& visits, double matters);

}  // namespace qn::heading_only
