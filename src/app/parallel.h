// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "vocab/parallel.h"

namespace qn {

/// Spreads the tasks over the machine's cores; the calling thread works too.
ParallelFor parallel_over_cores();

}  // namespace qn
