// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// How the cases of the table are drawn, for its head.
std::string how_coarse_drawn();

/// Swings whose noise is below half the step of rounding: the error of the solver's estimate beside
/// that of the posterior mean of the same interval model.
CoverageTable run_coarse_table(std::size_t cases, std::uint64_t first_seed,
                               const ParallelFor& parallel);

}  // namespace qn::accuracy
