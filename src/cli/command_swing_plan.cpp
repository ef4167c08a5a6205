// SPDX-License-Identifier: Apache-2.0
#include "cli/command_swing_plan.h"

#include <memory>

#include "app/plan_swing.h"
#include "app/write_file.h"
#include "cli/sheet_options.h"
#include "cli/swing_plan_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct SwingPlanCommand {
  SwingPlanRequest request;
  SheetOptions sheet;
  bool json = false;
};

int run_plan(const SwingPlanCommand& options) {
  SheetFormat format = SheetFormat::pdf;
  if (options.sheet.sheet) {  // first: a typing mistake should not cost the work
    const auto asked = sheet_format_of(*options.sheet.sheet);
    if (!asked) return print_error(asked.error());
    format = asked.value();
  }
  const auto document = plan_swing_document(options.request);
  if (!document) return print_error(document.error());
  if (options.sheet.sheet) {
    const auto bytes = swing_plan_sheet(document.value(), format, options.sheet.size());
    if (!bytes) return print_error(bytes.error());
    const auto written = write_file(*options.sheet.sheet, bytes.value());
    if (!written) return print_error(written.error());
  }
  return print_answer(options.json ? to_json(document.value()) + "\n"
                                   : swing_plan_text(document.value()));
}

}  // namespace

void add_swing_plan(CLI::App& swing, int& exit_code) {
  auto options = std::make_shared<SwingPlanCommand>();
  SwingPlanRequest& r = options->request;
  CLI::App* plan = swing.add_subcommand(
      "plan", "the order of marks, what to set, and how well so many readings will tell");
  plan->add_option("--stations", r.plan.stations,
                   "marks around the circle: 8, 12 (default), 16, 24");
  plan->add_option("--turns", r.turns, "both (default): clockwise and back; or once");
  plan->add_option("--loads", r.loads,
                   "states of the loads read on each mark (off,on); off alone is quicker");
  plan->add_option("--first-heading-tolerance-deg", r.plan.first_heading_tolerance_deg,
                   "how near to north the first stop is (5)");
  plan->add_option("--hold-s", r.plan.hold_s, "standing still before each reading (30)");
  plan->add_option("--move-s", r.plan.move_s, "from one mark to the next (60)");
  plan->add_option("--rounding-deg", r.plan.swing.rounding_deg,
                   "readings will be rounded to this step (1)");
  plan->add_option("--reading-sigma-deg", r.plan.swing.reading_sigma_deg,
                   "error of a reading beside the rounding, 1 sigma (0.7)");
  plan->add_option("--station-sigma-deg", r.plan.swing.station_sigma_deg,
                   "error of placing the aircraft on a mark, 1 sigma (0.7)");
  plan->add_option("--north-sigma-deg", r.plan.swing.north_sigma_deg,
                   "error of the rose's north, 1 sigma (0.5)");
  plan->add_option("--hysteresis-sigma-deg", r.plan.swing.hysteresis_sigma_deg,
                   "difference between turns when only one is made, 1 sigma (0.5)");
  plan->add_option("--aircraft", r.aircraft, "name for the sheet");
  plan->add_option("--place", r.place, "place for the sheet");
  plan->add_option("--day", r.day, "day for the sheet, ISO");
  add_sheet_options(*plan, options->sheet);
  plan->add_flag("--json", options->json, "print one JSON document");
  plan->callback([options, &exit_code] { exit_code = run_plan(*options); });
}

}  // namespace qn
