// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// How the cases of the table are drawn, for its head.
std::string how_adjust_drawn();

/// Compasses read on 4 or 8 marks and turned as `swing adjust` says, by both rules: is what it
/// foretells what is left?
CoverageTable run_adjust_table(std::size_t cases, std::uint64_t first_seed,
                               const ParallelFor& parallel);

}  // namespace qn::accuracy
