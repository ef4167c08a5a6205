// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// How the cases of the table are drawn, for its head.
std::string how_doubt_drawn();

/// Swings led as runs: how often a misread number is asked for again while the aircraft still
/// stands there, by how many readings there are; and how often a sound one is.
CoverageTable run_doubt_table(std::size_t cases, std::uint64_t first_seed,
                              const ParallelFor& parallel);

}  // namespace qn::accuracy
