// SPDX-License-Identifier: Apache-2.0
#include "cli/command_disturb_plan.h"

#include <memory>

#include "app/plan_disturbance.h"
#include "app/write_file.h"
#include "cli/disturbance_plan_text.h"
#include "cli/place_options.h"
#include "cli/sheet_options.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct PlanCommandOptions {
  PlanRequest request;
  PlaceOptions place;
  MeasuredFieldOptions measured;
  SheetOptions sheet;
  bool json = false;
};

Result<Done> write_sheet(const SheetOptions& options, SheetFormat format,
                         const PlanDocument& document) {
  const auto bytes = disturbance_plan_sheet(document, format, options.size());
  if (!bytes) return bytes.error();
  return write_file(*options.sheet, bytes.value());
}

int run(PlanCommandOptions& options) {
  options.request.at = options.place.at;
  options.request.on = options.place.on;
  options.request.horizontal_uT = options.measured.horizontal_uT;
  options.request.vertical_uT = options.measured.vertical_uT;
  SheetFormat format = SheetFormat::pdf;
  if (options.sheet.sheet) {  // first: a typing mistake should not cost the work
    const auto asked = sheet_format_of(*options.sheet.sheet);
    if (!asked) return print_error(asked.error());
    format = asked.value();
  }
  const auto document = plan_disturbance_run(options.request);
  if (!document) return print_error(document.error());
  if (options.sheet.sheet) {
    const auto written = write_sheet(options.sheet, format, document.value());
    if (!written) return print_error(written.error());
  }
  return print_answer(options.json ? to_json(document.value()) + "\n"
                                   : disturbance_plan_text(document.value()));
}

}  // namespace

void add_disturb_plan(CLI::App& disturb, int& exit_code) {
  auto options = std::make_shared<PlanCommandOptions>();
  CLI::App* command = disturb.add_subcommand(
      "plan", "what to switch, in which order and for how long, from the equipment list");
  command->add_option("EQUIPMENT", options->request.equipment_path, "the equipment list, CSV")
      ->required();
  add_place_options(*command, options->place);
  add_measured_field_options(*command, options->measured);
  command->add_option("--limit-deg", options->request.limit_deg,
                      "largest heading error you accept (1)");
  command->add_option("--limit-basis", options->request.limit_basis, "where that limit comes from");
  command->add_option("--noise-uT", options->request.noise_uT,
                      "noise of one sample of the sensor, 1 sigma (0.1)");
  command->add_option("--rate-Hz", options->request.rate_Hz, "samples a second (10)");
  command->add_option("--aircraft", options->request.aircraft, "name for the sheet");
  add_sheet_options(*command, options->sheet);
  command->add_flag("--json", options->json, "print one JSON document");
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
