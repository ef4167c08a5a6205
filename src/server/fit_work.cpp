// SPDX-License-Identifier: Apache-2.0
#include "server/fit_work.h"

#include <utility>

namespace qn {

WorkOrder fit_work(FitRequest request, std::shared_ptr<const KeptRecording> recording,
                   std::shared_ptr<ScratchFile> stations, const ServeUses& uses) {
  WorkOrder order;
  order.kind = "fit";
  order.name = request.log_name;
  order.work = [request = std::move(request), recording = std::move(recording),
                stations = std::move(stations),
                uses](const Progress& progress) -> Result<WorkOutcome> {
    auto answer = uses.fit(request, progress);
    if (!answer) return answer.error();
    const auto document = std::make_shared<const FitDocument>(std::move(answer).value());
    WorkOutcome out;
    out.document_json = uses.document_json(*document);
    out.log_name = document->provenance.log_name;
    out.sheet = [document, draw = uses.sheet](SheetFormat format, Paper paper) {
      return draw(*document, format, paper);
    };
    return out;
  };
  return order;
}

}  // namespace qn
