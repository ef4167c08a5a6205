// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "server/dto_disturbance.h"
#include "server/recording_shelf.h"
#include "server/work_board.h"

namespace qn {

/// A run that has been read and analysed. The recording stays in memory, so that the answer to a
/// moved mark does not wait for the file.
struct WorkedDisturbance {
  std::shared_ptr<LoadedDisturbance> loaded;
  std::vector<Mark> given;  ///< as the file has them
  std::vector<Mark> marks;  ///< as this answer was made from them
  std::shared_ptr<const DisturbanceDocument> document;
};

/// Reading and analysing, as one piece of work.
///
/// recording, files  kept until the work has ended
WorkOrder disturbance_work(DisturbanceRequest request,
                           std::shared_ptr<const KeptRecording> recording,
                           std::vector<std::shared_ptr<ScratchFile>> files);

/// The run again with some of its marks elsewhere; all others are where the file has them.
///
/// errors  those of analysing; the answer that is there stays as it is
/// thread  one at a time for runs that came from the same work
Result<WorkOutcome> with_marks_moved(const WorkedDisturbance& worked,
                                     const std::vector<MovedMark>& moved);

}  // namespace qn
