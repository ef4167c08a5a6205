// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/disturbance_plan.h"
#include "report/page_canvas.h"

namespace qn {

/// One line of the sheet to carry along.
struct PlanRow {
  enum class Kind {
    heading,  ///< of a pass
    caution,  ///< framed
    step,     ///< numbered, both boxes
    helper,   ///< a device that is only on because another needs it, or start and end: one box
  };
  Kind kind = Kind::step;
  std::string number;
  std::string name;        ///< bold
  std::string state;       ///< after the name
  std::string more;        ///< second line: what to know while doing it
  std::string hold, rest;  ///< "36 s"
  bool on_box = false, off_box = false;
  bool with_next = false;  ///< never the last line of a page
};

/// All lines in their order, from "start the recording" to "end it".
std::vector<PlanRow> plan_rows(const DisturbancePlan& plan);

/// Names over the columns. returns  the y below them
double plan_row_heads(PageCanvas& canvas, const PageBox& box);
double plan_row_height(PageCanvas& canvas, double width_pt, const PlanRow& row);
/// `box` has the height that plan_row_height gave.
void draw_plan_row(PageCanvas& canvas, const PageBox& box, const PlanRow& row);

}  // namespace qn
