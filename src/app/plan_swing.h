// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "app/fit_sensor_log.h"
#include "procedure/swing_plan.h"
#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth swing plan`, texts as the user gave them.
struct SwingPlanRequest {
  SwingPlanOptions plan;             ///< `both_turns` is taken from `turns`
  std::optional<std::string> turns;  ///< once | both
  std::optional<std::string> loads;  ///< states with a comma between them: off,on
  std::string aircraft, place, day;  ///< free texts for the sheet
};

struct SwingPlanDocument {
  SwingPlan plan;
  std::string program_version, aircraft, place, day;
};

/// errors  OutOfRange naming an option
Result<SwingPlanDocument> plan_swing_document(const SwingPlanRequest& request);

/// Schema quietnorth/swing-plan/1 (docs/formats/swing-plan-json.md).
std::string to_json(const SwingPlanDocument& document);

/// The sheet to carry along and write on, as the bytes of the file.
Result<std::string> swing_plan_sheet(const SwingPlanDocument& document, SheetFormat format,
                                     Paper paper);

}  // namespace qn
