// SPDX-License-Identifier: Apache-2.0
#include "app/plan_swing.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <utility>

#include "app/codec_swing_internal.h"
#include "app/version.h"
#include "report/swing_plan_sheet.h"
#include "vocab/text_parts.h"

namespace qn {
namespace {

using Json = SwingJson;

const char* turn_word(SwingTurn turn) { return turn == SwingTurn::counterclockwise ? "ccw" : "cw"; }

Json choices_json(const std::vector<SwingChoice>& choices) {
  Json out = Json::array();
  for (const SwingChoice& c : choices) {
    Json half = Json::object();
    for (std::size_t j = 0; j < 5; ++j) half[std::string{"ABCDE"[j]}] = c.half_95_deg[j];
    out.push_back({{"stations", c.stations},
                   {"turns", c.both_turns ? "both" : "once"},
                   {"readings", c.readings},
                   {"minutes", c.minutes},
                   {"half_95_deg", std::move(half)},
                   {"worst_95_deg", pair_json(c.worst_95_deg)},
                   {"chosen", c.chosen}});
  }
  return out;
}

Json stops_json(const std::vector<SwingStop>& stops) {
  Json out = Json::array();
  for (const SwingStop& s : stops) {
    out.push_back({{"number", s.number},
                   {"station_deg", s.station_deg},
                   {"turn", turn_word(s.turn)},
                   {"note", swing_text_or_null(s.note)}});
  }
  return out;
}

}  // namespace

Result<SwingPlanDocument> plan_swing_document(const SwingPlanRequest& request) {
  SwingPlanOptions options = request.plan;
  if (request.turns) {
    if (*request.turns != "once" && *request.turns != "both") {
      return Error{ErrorKind::OutOfRange, fmt::format("'{}' turns", *request.turns),
                   "option --turns", "once or both",
                   "both: clockwise, then counterclockwise, so that a lag is told from A"};
    }
    options.both_turns = *request.turns == "both";
  }
  if (request.loads) {
    options.loads.clear();
    for (const std::string_view part : parts_of(*request.loads, ",")) {
      auto state = loads_state(std::string{part});
      if (!state) {
        Error wrong = state.error();
        wrong.kind = ErrorKind::OutOfRange;
        wrong.where = "option --loads";
        return wrong;
      }
      options.loads.push_back(std::move(state).value());
    }
  }
  auto plan = plan_swing(options);
  if (!plan) return plan.error();
  return SwingPlanDocument{std::move(plan).value(), std::string{program_version()},
                           request.aircraft, request.place, request.day};
}

std::string to_json(const SwingPlanDocument& document) {
  const SwingPlan& plan = document.plan;
  Json out{{"schema", "quietnorth/swing-plan/1"},
           {"program_version", document.program_version},
           {"sentence", plan.sentence},
           {"aircraft", document.aircraft},
           {"place", document.place},
           {"day", document.day},
           {"stations", plan.options.stations},
           {"turns", plan.options.both_turns ? "both" : "once"},
           {"first_heading_tolerance_deg", plan.options.first_heading_tolerance_deg},
           {"loads", plan.options.loads},
           {"hold_s", plan.options.hold_s},
           {"move_s", plan.options.move_s},
           {"planned_compass_deg", kPlannedCompass_deg},
           {"planned_worst_deg", plan.planned_worst_deg},
           {"choices", choices_json(plan.choices)},
           {"stops", stops_json(plan.stops)},
           {"before", plan.before},
           {"at_each", plan.at_each},
           {"cautions", plan.cautions},
           {"remarks", plan.remarks},
           {"assumptions", plan.assumptions}};
  return swing_dumped(out);
}

Result<std::string> swing_plan_sheet(const SwingPlanDocument& document, SheetFormat format,
                                     Paper paper) {
  SheetContext context;
  context.aircraft = document.aircraft;
  context.place = document.place;
  context.day = document.day;
  context.program_version = document.program_version;
  context.letter = paper == Paper::letter;
  return format == SheetFormat::pdf ? swing_plan_sheet_pdf(document.plan, context)
                                    : swing_plan_sheet_svg(document.plan, context);
}

}  // namespace qn
