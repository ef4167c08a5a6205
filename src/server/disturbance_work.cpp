// SPDX-License-Identifier: Apache-2.0
#include "server/disturbance_work.h"

#include <utility>

#include "app/codec_disturbance.h"

namespace qn {
namespace {

// Each holds its recording: about 30 MB for two hours at 100 samples a second.
constexpr std::size_t kMostKept = 4;

Result<WorkOutcome> outcome_of(WorkedDisturbance worked) {
  worked.loaded->marks = worked.marks;
  auto document = analyse_loaded(*worked.loaded);
  if (!document) return document.error();
  worked.document = std::make_shared<const DisturbanceDocument>(std::move(document).value());
  WorkOutcome out;
  out.document_json = to_json(*worked.document);
  out.log_name = worked.document->provenance.log_name;
  out.sheet = [document = worked.document](SheetFormat format, Paper paper) {
    return disturbance_sheet(*document, format, paper);
  };
  out.disturbance = std::make_shared<WorkedDisturbance>(std::move(worked));
  return out;
}

Error stopped() {
  return Error{ErrorKind::Io, "the work was stopped before it was done", "this request",
               "to be left to finish", "ask again when there is time"};
}

}  // namespace

WorkOrder disturbance_work(DisturbanceRequest request,
                           std::shared_ptr<const KeptRecording> recording,
                           std::vector<std::shared_ptr<ScratchFile>> files) {
  WorkOrder order;
  order.kind = "disturbance";
  order.name = request.log_name;
  order.most_kept = kMostKept;
  order.work = [request = std::move(request), recording = std::move(recording),
                files = std::move(files)](const Progress& progress) -> Result<WorkOutcome> {
    auto loaded = load_disturbance(request, progress);
    if (!loaded) return loaded.error();
    if (!progress("Finding what each device does", 0.6)) return stopped();
    WorkedDisturbance worked;
    worked.loaded = std::make_shared<LoadedDisturbance>(std::move(loaded).value());
    worked.given = worked.loaded->marks;
    worked.marks = worked.given;
    return outcome_of(std::move(worked));
  };
  return order;
}

Result<WorkOutcome> with_marks_moved(const WorkedDisturbance& worked,
                                     const std::vector<MovedMark>& moved) {
  WorkedDisturbance next{worked.loaded, worked.given, worked.given, nullptr};
  for (const MovedMark& mark : moved) next.marks[mark.index].time_s = mark.time_s;
  return outcome_of(std::move(next));
}

}  // namespace qn
