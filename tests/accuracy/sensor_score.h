// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "accuracy/coverage_table.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// What one case gave: readings, or why there are none.
struct CaseScore {
  std::vector<Reading> readings;
  std::optional<std::string> refusal;
  /// Outlier cases: largest move of an offset component against the same case without outliers,
  /// in its own sigmas.
  std::optional<double> moved_sigmas;
};

CaseScore score_case(std::string_view table, std::uint64_t seed);

/// All cases of a table, seeds first_seed, first_seed + 1, ... The result does not depend on the
/// width of `parallel`.
CoverageTable run_sensor_table(std::string_view table, std::size_t cases, std::uint64_t first_seed,
                               const ParallelFor& parallel);

}  // namespace qn::accuracy
