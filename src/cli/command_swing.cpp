// SPDX-License-Identifier: Apache-2.0
#include "cli/command_swing.h"

#include <memory>

#include "app/adjust_swing.h"
#include "app/codec_swing.h"
#include "app/solve_swing.h"
#include "app/write_file.h"
#include "cli/book_options.h"
#include "cli/command_swing_plan.h"
#include "cli/place_options.h"
#include "cli/sheet_options.h"
#include "cli/swing_adjust_text.h"
#include "cli/swing_options.h"
#include "cli/swing_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct SolveOptions {
  SwingReadOptions read;
  SwingSolveRequest request;
  MeasuredFieldOptions measured;
  BookOptions book;
  SheetOptions sheet;
  bool json = false;
  bool check = false;
};

Result<Done> write_swing_sheet(const SolveOptions& options, SheetFormat format,
                               const SwingDocument& document) {
  const auto bytes = swing_sheet(document, format, options.sheet.size());
  if (!bytes) return bytes.error();
  return write_file(*options.sheet.sheet, bytes.value());
}

int solve_and_print(SolveOptions& options) {
  SheetFormat format = SheetFormat::pdf;
  if (options.sheet.sheet) {  // first: a typing mistake should not cost the work
    const auto asked = sheet_format_of(*options.sheet.sheet);
    if (!asked) return print_error(asked.error());
    format = asked.value();
  }
  options.request.swing = options.read.complete();
  options.request.horizontal_uT = options.measured.horizontal_uT;
  options.request.vertical_uT = options.measured.vertical_uT;
  auto book = options.book.open();
  if (!book) return print_error(book.error());
  const auto document = solve_swing_file(options.request);
  if (!document) return print_error(document.error());
  const int kept = keep_finding(book.value(), options.request, document.value());
  if (kept != kExitDone) return kept;
  if (options.sheet.sheet) {
    const auto written = write_swing_sheet(options, format, document.value());
    if (!written) return print_error(written.error());
  }
  const int printed =
      print_answer(options.json ? to_json(document.value()) + "\n" : swing_text(document.value()));
  if (printed != kExitDone) return printed;
  return options.check && !every_verdict_within(document.value().swing) ? kExitNotWithin
                                                                        : kExitDone;
}

void add_limits(CLI::App& command, SwingRequest& request) {
  command.add_option("--limit", request.limits,
                     "NAME=DEG: what that compass may be off (standby: 10)");
  command.add_option("--limit-basis", request.limit_basis, "where those limits come from");
}

struct AdjustCommandOptions {
  SwingReadOptions read;
  AdjustRequest request;
  bool json = false;
};

int run_adjust(AdjustCommandOptions& options) {
  options.request.swing = options.read.complete();
  const auto document = adjust_swing_file(options.request);
  if (!document) return print_error(document.error());
  return print_answer(options.json ? to_json(document.value()) + "\n"
                                   : swing_adjust_text(document.value()));
}

void add_adjust(CLI::App& swing, int& exit_code) {
  auto options = std::make_shared<AdjustCommandOptions>();
  CLI::App* adjust = swing.add_subcommand(
      "adjust", "what each adjuster must be turned to read, from what has been read so far");
  add_swing_read_options(*adjust, options->read);
  add_limits(*adjust, options->read.request);
  adjust->add_option("--rule", options->request.rule, "least-squares (default) or halving");
  adjust->add_option("--standing-on", options->request.standing_deg,
                     "mark the aircraft stands on (that of the last row)");
  adjust->add_flag("--mount-turns", options->request.mount_turns,
                   "the compass can be turned in its mounting: take A off too");
  adjust->add_flag("--json", options->json, "print one JSON document");
  adjust->callback([options, &exit_code] { exit_code = run_adjust(*options); });
}

}  // namespace

void add_swing_command(CLI::App& program, int& exit_code) {
  CLI::App* swing = program.add_subcommand(
      "swing", "compass deviations from readings on known headings, for every compass at once");
  swing->require_subcommand(1);
  auto options = std::make_shared<SolveOptions>();
  CLI::App* solve = swing->add_subcommand(
      "solve", "coefficients A to E with bands, readings that are wrong, largest deviation");
  add_swing_read_options(*solve, options->read);
  add_limits(*solve, options->read.request);
  solve->add_option("--before", options->request.before_path,
                    "stations of the swing before the adjusters were turned");
  solve->add_option("--before-day", options->request.before_day, "day of that swing, ISO");
  solve->add_option("--day", options->read.request.day, "day of this swing, ISO (that of --on)");
  add_box_option(*solve, options->read);
  add_measured_field_options(*solve, options->measured);
  solve->add_option("--forecast-at", options->request.forecast_at,
                    "LAT,LON: the deviation after a move there");
  add_book_options(*solve, options->book);
  add_sheet_options(*solve, options->sheet);
  solve->add_flag("--json", options->json, "print one JSON document");
  solve->add_flag("--check", options->check, "exit with 1 unless every verdict is `within`");
  solve->callback([options, &exit_code] { exit_code = solve_and_print(*options); });
  add_adjust(*swing, exit_code);
  add_swing_plan(*swing, exit_code);
}

}  // namespace qn
