// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/disturbance_run.h"
#include "vocab/result.h"

namespace qn {

/// What a chosen set of a run's devices does together, by the same geometry as its phases: the
/// vector sum, of several states of a device those whose sum is longest, none of them optional.
///
/// Bands take the devices' errors as independent; those of the run's own phases also know what the
/// devices share, and stand in the run. Never within when the run cannot
/// say what one of the devices does.
///
/// on       devices of the run, each once; empty: nothing on, no error
/// errors   BadInput naming a device that the run does not have
Result<CombinationEffect> what_if(const DisturbanceRun& run, const std::vector<std::string>& on);

/// A combination as in the disturbance document (docs/formats/disturbance-json.md).
std::string to_json(const CombinationEffect& together);

}  // namespace qn
