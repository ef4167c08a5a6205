// SPDX-License-Identifier: Apache-2.0
#include "cli/command_disturb_analyse.h"

#include <fmt/core.h>
#include <unistd.h>

#include <cstdlib>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/analyse_disturbance.h"
#include "app/codec_disturbance.h"
#include "app/write_file.h"
#include "cli/book_options.h"
#include "cli/disturbance_text.h"
#include "cli/place_options.h"
#include "cli/sheet_options.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct AnalyseOptions {
  DisturbanceRequest request;
  PlaceOptions place;
  MeasuredFieldOptions measured;
  BookOptions book;
  SheetOptions sheet;
  std::vector<std::string> also;  // LOG2 MARKS2, LOG3 MARKS3 ...
  std::vector<double> aircraft_heading2_deg;
  bool json = false;
  bool check = false;
};

// Escape codes are for eyes at a terminal: a pipe or a file gets plain text.
bool bold_wanted() {
  const char* no_color = std::getenv("NO_COLOR");
  const bool declined = no_color != nullptr && *no_color != '\0';
  return !declined && ::isatty(STDOUT_FILENO) == 1;
}

Result<Done> write_sheet(const SheetOptions& options, SheetFormat format,
                         const DisturbanceDocument& document) {
  const auto bytes = disturbance_sheet(document, format, options.size());
  if (!bytes) return bytes.error();
  return write_file(*options.sheet, bytes.value());
}

std::optional<Error> complete_request(AnalyseOptions& options) {
  DisturbanceRequest& request = options.request;
  request.at = options.place.at;
  request.on = options.place.on;
  request.horizontal_uT = options.measured.horizontal_uT;
  request.vertical_uT = options.measured.vertical_uT;
  const std::vector<double>& headings = options.aircraft_heading2_deg;
  const std::size_t further = options.also.size() / 2;
  if (headings.size() > further) {
    return Error{ErrorKind::OutOfRange,
                 fmt::format("{} headings are given for {} further runs", headings.size(), further),
                 "option --aircraft-heading2",
                 "one heading for each --also LOG2 MARKS2, in their order",
                 "add the log and marks of that heading with --also, or leave the heading out"};
  }
  for (std::size_t k = 0; k < further; ++k) {
    const auto heading = k < headings.size() ? std::optional{headings[k]} : std::nullopt;
    request.also.push_back({options.also[2 * k], options.also[2 * k + 1], heading});
  }
  return std::nullopt;
}

int run(AnalyseOptions& options) {
  if (const auto wrong = complete_request(options)) return print_error(*wrong);
  SheetFormat format = SheetFormat::pdf;
  if (options.sheet.sheet) {  // first: a typing mistake should not cost the work
    const auto asked = sheet_format_of(*options.sheet.sheet);
    if (!asked) return print_error(asked.error());
    format = asked.value();
  }
  auto book = options.book.open();
  if (!book) return print_error(book.error());
  const auto document = analyse_disturbance_log(options.request);
  if (!document) return print_error(document.error());
  const int kept = keep_finding(book.value(), options.request, document.value());
  if (kept != kExitDone) return kept;
  if (options.sheet.sheet) {
    const auto written = write_sheet(options.sheet, format, document.value());
    if (!written) return print_error(written.error());
  }
  const int printed =
      print_answer(options.json ? to_json(document.value()) + "\n"
                                : disturbance_text(document.value(), bold_wanted()));
  if (printed != kExitDone) return printed;
  return options.check && !every_verdict_within(document.value().run) ? kExitNotWithin : kExitDone;
}

void add_how_it_was_recorded(CLI::App& command, AnalyseOptions& options) {
  DisturbanceRequest& request = options.request;
  command.add_option("--aircraft-heading", request.aircraft_heading_deg,
                     "magnetic heading on which the aircraft stood, degrees");
  command.add_flag("--rigid", request.rigid,
                   "the airframe cannot have tilted while gear, flaps or engine were worked");
  command.add_option("--mount", request.mount,
                     "sensor axes in the airframe, for example \"x=-y,y=x,z=z\"");
  command.add_option("--mount-deg", request.mount_deg,
                     "YAW,PITCH,ROLL of the sensor in the airframe");
  command.add_option("--accel-reads", request.accel_reads,
                     "up or down: the sign of the accelerometer's z, level and at rest (up: -1 g)");
  command.add_option("--map", request.column_map, "NAME=COLUMN: what a column of the log is");
  command.add_option("--heading-source", request.heading_source,
                     "magnetic, blended (with a gyro) or unknown: what a logged heading is");
  command
      .add_option(
          "--also", options.also,
          "LOG2 MARKS2: the same run on another heading, for logs of a heading only; may be "
          "repeated")
      ->type_size(2)
      ->expected(1)
      ->take_all();
  command
      .add_option("--aircraft-heading2", options.aircraft_heading2_deg,
                  "magnetic heading on which it stood in that run; one for each --also")
      ->expected(1)
      ->take_all();
}

}  // namespace

void add_disturb_analyse(CLI::App& disturb, int& exit_code) {
  auto options = std::make_shared<AnalyseOptions>();
  DisturbanceRequest& request = options->request;
  CLI::App* command = disturb.add_subcommand(
      "analyse", "what each device does to the sensor, from a log and the marks of a run");
  command
      ->add_option("LOG", request.log_path,
                   "the sensor's log, or a display's with heading_deg only, CSV")
      ->required();
  command->add_option("MARKS", request.marks_path, "when which device was switched, CSV")
      ->required();
  command->add_option("--equipment", request.equipment_path,
                      "the equipment list, CSV; without it every marked device is off or on");
  add_place_options(*command, options->place);
  add_measured_field_options(*command, options->measured);
  add_how_it_was_recorded(*command, *options);
  command->add_option("--limit-deg", request.limit_deg, "largest heading error you accept (1)");
  command->add_option("--limit-basis", request.limit_basis, "where that limit comes from");
  command->add_option("--aircraft", request.aircraft, "name for the sheet");
  add_book_options(*command, options->book);
  add_sheet_options(*command, options->sheet);
  command->add_flag("--json", options->json, "print one JSON document");
  command->add_flag("--check", options->check, "end with 1 unless every verdict is `within`");
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
