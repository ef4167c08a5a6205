// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "estimation/drift_filter.h"
#include "procedure/disturbance_marks_internal.h"
#include "procedure/disturbance_series_internal.h"
#include "procedure/heading_only.h"

namespace qn::heading_only {

/// How much of a step that began at `since_s` the display shows, as the mean over a block.
double shown_share(const DisplayResponse& response, double since_s, double from_s, double to_s);

/// The scale on which responses lie in order: slow lags, quick ones, sharp, slow fades, quick ones.
/// Its ends are beyond what a run can show.
std::vector<DisplayResponse> response_scale();

/// One log while the response is being looked for.
struct ResponseLog {
  const disturbance::MarkedRun* run = nullptr;
  const disturbance::Pieces* blocks = nullptr;
  double step_uT = 0.0;             ///< what the display rounds to, as microtesla
  std::vector<double> times_s;      ///< of each switch; at first the marks
  std::vector<unsigned char> own;   ///< of each switch: the moment is the log's own, not the mark's
  std::vector<std::size_t> strong;  ///< visits whose shape can be seen
  DriftNoise noise;
  double common_s = 0.0;  ///< switch minus mark of those that are the log's own, their middle
  double spread_s = 1.5;  ///< 1 sigma about it
  std::vector<unsigned char> odd;  ///< of each block: far from everything, and no switch near it
};
ResponseLog start_of(const disturbance::MarkedRun& run, const disturbance::Pieces& blocks,
                     double step_uT);

/// How long a switch takes: steel that travels, a motor that starts.
double transit_of(const disturbance::MarkedRun& run, std::size_t s);

/// What a display of that response shows of visit `v`, at a size of 1.
BlockColumn column_of(const ResponseLog& log, const DisplayResponse& response, std::size_t v);

/// The columns of all visits as a display of that response shows them, and the blocks that say
/// anything. After the visits' columns there may be others: where a display lags behind steel that
/// travelled, or a motor that started, nobody knows how far behind it was when that ended.
std::vector<BlockColumn> visit_columns(const ResponseLog& log, const DisplayResponse& response);
BlockTimes usable_blocks(const ResponseLog& log);

struct FoundResponse {
  DisplayResponse best;
  DisplayResponse from, to;  ///< ends of the 95 % interval on the scale
};

/// The response that explains all logs best, from their strong steps. None when fewer than two
/// visits are strong enough to show a shape, or when their shapes leave the ends of the scale open.
/// `logs` keep what was learnt: moments of the strong steps and the noise.
std::optional<FoundResponse> find_response(std::vector<ResponseLog>& logs);

}  // namespace qn::heading_only
