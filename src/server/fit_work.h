// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "server/recording_shelf.h"
#include "server/serve.h"
#include "server/work_board.h"

namespace qn {

/// Solving a recording, as one piece of work.
///
/// recording, stations  kept until the work has ended; stations may be null
WorkOrder fit_work(FitRequest request, std::shared_ptr<const KeptRecording> recording,
                   std::shared_ptr<ScratchFile> stations, const ServeUses& uses);

}  // namespace qn
