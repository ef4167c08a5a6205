// SPDX-License-Identifier: Apache-2.0
#include "server/swing_work.h"

#include <cmath>
#include <utility>

#include "app/solve_swing.h"
#include "server/answers.h"
#include "server/query_keys_internal.h"

namespace qn {
namespace {

constexpr double kCardWidth_mm = 92.0;

struct CardAsked {
  CardRequest request;
  std::optional<double> steps, width_mm;
  std::string paper;
};

std::optional<Error> read_card_query(const HttpRequest& request, CardAsked& asked) {
  CardRequest& r = asked.request;
  const dto::Keys keys{
      {"steps", dto::query_number(asked.steps)},
      {"width_mm", dto::query_number(asked.width_mm)},
      {"loads", dto::text_key(r.loads)},
      {"engine", dto::text_key(r.engine)},
      {"radio", dto::text_key(r.radio)},
      {"loads_are", dto::text_key(r.loads_are)},
      {"by", dto::text_key(r.by)},
      {"place", dto::text_key(r.place)},
      {"day", dto::text_key(r.day)},
      {"a_removed", dto::query_truth(r.a_removed)},
      {"paper", dto::paper_key(asked.paper)},
  };
  if (auto bad = dto::put_query(request, "/api/swings/{id}/card.pdf", keys, {})) return bad;
  if (!asked.steps) return std::nullopt;
  if (*asked.steps != std::floor(*asked.steps) || std::abs(*asked.steps) > 360.0) {
    return dto::wrong("steps", "that step cannot be", "15, 30 or 45");
  }
  r.step_deg = static_cast<int>(*asked.steps);
  return std::nullopt;
}

}  // namespace

WorkOrder swing_work(std::shared_ptr<const RunAnswered> answered, std::string stations_name) {
  WorkOrder order;
  order.kind = "swing";
  order.name = stations_name;
  order.work = [answered = std::move(answered),
                name = std::move(stations_name)](const Progress&) -> Result<WorkOutcome> {
    const std::shared_ptr<const SwingDocument> swing{answered, &*answered->swing};
    WorkOutcome out;
    out.document_json = answered->json;
    out.log_name = name;
    out.sheet = [swing](SheetFormat format, Paper paper) {
      return swing_sheet(*swing, format, paper);
    };
    out.swing = swing;
    return out;
  };
  return order;
}

HttpResponse card_of_swing(const HttpRequest& request, const SwingDocument& swing,
                           const std::string& stations_name) {
  CardAsked asked;
  if (auto bad = read_card_query(request, asked)) return answer_error(*bad);
  const auto document = make_card_document(swing, asked.request);
  if (!document) return answer_error(document.error());
  const bool pdf = request.path.ends_with(".pdf");
  const SheetFormat format = pdf ? SheetFormat::pdf : SheetFormat::svg;
  const Paper paper = asked.paper == "letter" ? Paper::letter : Paper::a4;
  return answer_sheet(
      card_sheet(document.value(), asked.width_mm.value_or(kCardWidth_mm), format, paper), format,
      stations_name.substr(0, stations_name.find_last_of('.')) + "-card");
}

}  // namespace qn
