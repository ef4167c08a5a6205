// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

std::vector<std::string> swing_table_names();
/// How the cases of a table are drawn, for its head.
std::string how_swing_drawn(std::string_view table);

CoverageTable run_swing_table(std::string_view table, std::size_t cases, std::uint64_t first_seed,
                              const ParallelFor& parallel);

}  // namespace qn::accuracy
