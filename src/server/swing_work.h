// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>

#include "app/finish_run.h"
#include "server/work_board.h"

namespace qn {

/// A swing that was led is solved already; this gives it a place among the page's other answers.
///
/// answered       with a swing in it
/// stations_name  names of saved files are made from it
WorkOrder swing_work(std::shared_ptr<const RunAnswered> answered, std::string stations_name);

/// The cards of a solved swing, as `quietnorth card` makes them of its stations; the query has the
/// command's options.
HttpResponse card_of_swing(const HttpRequest& request, const SwingDocument& swing,
                           const std::string& stations_name);

}  // namespace qn
