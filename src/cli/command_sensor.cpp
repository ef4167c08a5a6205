// SPDX-License-Identifier: Apache-2.0
#include "cli/command_sensor.h"

#include <algorithm>
#include <array>
#include <memory>

#include "app/apply_sensor_fit.h"
#include "app/fit_sensor_log.h"
#include "app/write_file.h"
#include "cli/book_options.h"
#include "cli/command_sensor_simulate.h"
#include "cli/place_options.h"
#include "cli/sensor_fit_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct FitOptions {
  FitRequest request;
  PlaceOptions place;
  MeasuredFieldOptions measured;
  BookOptions book;
  std::optional<std::string> sheet;
  std::string paper = "a4";
  bool json = false;
  bool check = false;
};

bool ends_with(const std::string& text, const std::string& end) {
  return text.size() >= end.size() && text.compare(text.size() - end.size(), end.size(), end) == 0;
}

Result<SheetFormat> sheet_format(const std::string& path) {
  if (ends_with(path, ".pdf")) return SheetFormat::pdf;
  if (ends_with(path, ".svg")) return SheetFormat::svg;
  return Error{ErrorKind::OutOfRange, "'" + path + "' does not say what kind of sheet to write",
               "option --sheet", "a file name that ends in .pdf or .svg",
               "for example --sheet sensor.pdf"};
}

Result<Done> write_sheet(const FitOptions& options, const FitDocument& document) {
  const auto format = sheet_format(*options.sheet);
  if (!format) return format.error();
  const auto bytes = sensor_fit_sheet(document, format.value(),
                                      options.paper == "letter" ? Paper::letter : Paper::a4);
  if (!bytes) return bytes.error();
  return write_file(*options.sheet, bytes.value());
}

int run_fit(FitOptions& options) {
  options.request.at = options.place.at;
  options.request.on = options.place.on;
  options.request.horizontal_uT = options.measured.horizontal_uT;
  options.request.vertical_uT = options.measured.vertical_uT;
  if (options.sheet) {
    if (const auto format = sheet_format(*options.sheet); !format) {
      return print_error(format.error());
    }
  }
  auto book = options.book.open();
  if (!book) return print_error(book.error());
  const auto document = fit_sensor_log(options.request);
  if (!document) return print_error(document.error());
  const int kept = keep_finding(book.value(), options.request, document.value());
  if (kept != kExitDone) return kept;
  if (options.sheet) {
    if (const auto written = write_sheet(options, document.value()); !written) {
      return print_error(written.error());
    }
  }
  const int printed = print_answer(options.json ? to_json(document.value()) + "\n"
                                                : sensor_fit_text(document.value()));
  if (printed != kExitDone) return printed;
  const bool within = document.value().fit.verdict.state == VerdictState::within;
  return options.check && !within ? kExitNotWithin : kExitDone;
}

void add_how_it_was_recorded(CLI::App& command, FitRequest& request) {
  command.add_option("--motion", request.motion,
                     "tumble, swing, stations or auto (decided from the recording)");
  command.add_option("--stations", request.stations_path,
                     "CSV file of the headings the aircraft stood on, in order");
  command.add_option("--known-heading", request.known_headings,
                     "T_s,HEADING: where it pointed at that second, magnetic (may be repeated)");
  command.add_option("--mount", request.mount,
                     "sensor axes in the airframe, for example \"x=-y,y=x,z=z\"");
  command.add_option("--mount-deg", request.mount_deg,
                     "YAW,PITCH,ROLL of the sensor in the airframe");
  command.add_option("--slope-deg", request.slope_deg,
                     "STEEPNESS[,SIGMA] of the ground, direction unknown");
  command.add_option("--deck-deg", request.deck_deg,
                     "ROLL,PITCH[,SIGMA] of the standing aircraft against level flight");
  command.add_option("--accel-reads", request.accel_reads,
                     "up or down: the sign of the accelerometer's z, level and at rest (up: -1 g)");
  command.add_option("--station-sigma-deg", request.station_sigma_deg,
                     "how well it stood on each heading, 1 sigma (0.5)");
  command.add_option("--north-sigma-deg", request.north_sigma_deg,
                     "common error of all known headings, 1 sigma (0.3)");
  command.add_option("--map", request.column_map, "NAME=COLUMN: what a column of the log is");
}

void add_fit(CLI::App& sensor, int& exit_code) {
  auto options = std::make_shared<FitOptions>();
  CLI::App* command = sensor.add_subcommand(
      "fit", "hard and soft iron from a recording, and the heading error they leave");
  command->add_option("LOG", options->request.log_path, "the sensor log, CSV")->required();
  add_place_options(*command, options->place);
  add_measured_field_options(*command, options->measured);
  add_how_it_was_recorded(*command, options->request);
  command->add_option("--limit-deg", options->request.limit_deg,
                      "largest heading error you accept (1)");
  command->add_option("--limit-basis", options->request.limit_basis, "where that limit comes from");
  command->add_option("--aircraft", options->request.aircraft, "name for the sheet");
  add_book_options(*command, options->book);
  command->add_option("--sheet", options->sheet, "write the sheet to FILE.pdf or FILE.svg");
  command->add_option("--paper", options->paper, "a4 or letter")
      ->check(CLI::IsMember({"a4", "letter"}));
  command->add_flag("--json", options->json, "print one JSON document");
  command->add_flag("--check", options->check, "end with 1 unless the verdict is `within`");
  command->callback([options, &exit_code] { exit_code = run_fit(*options); });
}

struct ApplyOptions {
  ApplyRequest request;
  std::optional<std::string> out;
};

int run_apply(const ApplyOptions& options) {
  const auto applied = apply_sensor_fit(options.request);
  if (!applied) return print_error(applied.error());
  if (!options.out) return print_answer(applied.value().csv);
  if (const auto written = write_file(*options.out, applied.value().csv); !written) {
    return print_error(written.error());
  }
  return print_answer(std::to_string(applied.value().samples) + " samples corrected into " +
                      *options.out + ".\n");
}

void add_apply(CLI::App& sensor, int& exit_code) {
  auto options = std::make_shared<ApplyOptions>();
  CLI::App* command =
      sensor.add_subcommand("apply", "the corrected field and heading of a log, as CSV");
  command->add_option("FIT", options->request.fit_path, "document of `sensor fit --json`")
      ->required();
  command->add_option("LOG", options->request.log_path, "the sensor log, CSV")->required();
  command->add_option("--map", options->request.column_map,
                      "NAME=COLUMN: what a column of the log is");
  command->add_option("--out", options->out, "write to this file, whole or not at all");
  command->callback([options, &exit_code] { exit_code = run_apply(*options); });
}

}  // namespace

std::vector<std::string> with_sensor_verb(std::vector<std::string> words) {
  constexpr std::array kVerbs{"fit", "apply", "simulate", "--help", "-h"};
  if (words.size() < 2 || words[0] != "sensor") return words;
  const bool named = std::find(kVerbs.begin(), kVerbs.end(), words[1]) != kVerbs.end();
  if (!named) words.insert(words.begin() + 1, "fit");
  return words;
}

void add_sensor_command(CLI::App& program, int& exit_code) {
  CLI::App* sensor = program.add_subcommand(
      "sensor",
      "a 3-axis magnetic sensor: solve it from a recording (`sensor LOG` is `sensor fit "
      "LOG`)");
  sensor->require_subcommand(1);
  add_fit(*sensor, exit_code);
  add_apply(*sensor, exit_code);
  add_sensor_simulate(*sensor, exit_code);
}

}  // namespace qn
