// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "acquire/line_index_internal.h"
#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// Which rows to keep so that times strictly increase; nothing when that is all of them.
///
/// A few rows that lie back or ahead are left out. Where the clock starts again for good, the
/// longest stretch is kept.
/// tally    duplicate_times, backward_times and remarks are set
/// errors   BadInput when the rows are in no order, or no stretch holds a good part of them
Result<std::optional<std::vector<std::size_t>>> rows_in_time_order(
    const std::vector<double>& time_s, const LineIndex& lines, const std::string& file_name,
    RecordingTally& tally);

/// Sets median interval and gaps, and remarks on them and on mixed rates. At least two times.
void describe_intervals(const std::vector<double>& time_s, RecordingTally& tally);

}  // namespace qn
