// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// Flights of 5 to 10 legs read by hand, one reading of one leg written down wrong.
std::string how_air_gross_drawn();
CoverageTable run_air_gross_table(std::size_t cases, std::uint64_t first_seed,
                                  const ParallelFor& parallel);

}  // namespace qn::accuracy
