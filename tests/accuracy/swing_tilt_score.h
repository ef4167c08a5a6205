// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// How the cases of the table are drawn, for its head.
std::string how_tilt_drawn();

/// Swings of aircraft that did not stand level: do the bands of the level aircraft hold?
CoverageTable run_tilt_table(std::size_t cases, std::uint64_t first_seed,
                             const ParallelFor& parallel);

}  // namespace qn::accuracy
