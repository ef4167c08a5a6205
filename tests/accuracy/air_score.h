// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// "air-legs": written down by hand; "air-log": recorded, and the legs found.
std::vector<std::string> air_table_names();
std::string how_air_drawn(std::string_view table);

/// Flights of 4 to 10 legs, seeds first_seed, first_seed + 1, ...
CoverageTable run_air_table(std::string_view table, std::size_t cases, std::uint64_t first_seed,
                            const ParallelFor& parallel);

}  // namespace qn::accuracy
