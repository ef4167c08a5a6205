// SPDX-License-Identifier: Apache-2.0
#include "cli/command_air.h"

#include <fmt/format.h>

#include <memory>

#include "app/codec_air.h"
#include "app/solve_air.h"
#include "app/write_file.h"
#include "cli/air_text.h"
#include "cli/book_options.h"
#include "cli/place_options.h"
#include "cli/sheet_options.h"
#include "cli/terminal.h"

namespace qn {
namespace {

/// The options of one verb; a plan and a solution are asked for in the same words.
template <class Request>
struct AirVerb {
  Request request;
  PlaceOptions place;
  SheetOptions sheet;
  BookOptions book;
  bool json = false;
  bool check = false;
  Request complete() const {
    Request out = request;
    out.assumed.at = place.at;
    out.assumed.on = place.on;
    return out;
  }
};

void add_assumed(CLI::App& command, AirAssumed& a, PlaceOptions& place) {
  command.add_option("--variation-deg", a.variation_deg, "variation, east positive");
  add_place_options(command, place);
  const char* group = "How well it was flown and measured, 1 sigma";
  const auto size = [&](const char* name, std::optional<double>& to, const char* what) {
    command.add_option(name, to, what)->group(group);
  };
  size("--sideslip-sigma-deg", a.sideslip_sigma_deg, "constant sideslip, all of it in A (1)");
  size("--variation-sigma-deg", a.variation_sigma_deg, "variation (0.5; with --at the model's)");
  size("--heading-sigma-deg", a.heading_sigma_deg, "heading of a leg (1; of a log 0.7)");
  size("--rounding-deg", a.rounding_deg, "headings are rounded to this step (1; of a log 0)");
  size("--track-sigma-deg", a.track_sigma_deg, "track of a leg (0.35; of a log 0.2)");
  size("--speed-sigma-kt", a.speed_sigma_kt, "ground speed of a leg (0.35; of a log 0.2)");
  size("--airspeed-sigma-kt", a.airspeed_sigma_kt, "airspeed from leg to leg (1; of a log 0.8)");
  size("--wind-sigma-kt", a.wind_sigma_kt, "wind from leg to leg, each axis (0.7; log 0.5)");
  size("--wind-change-kt-per-hour", a.wind_change_kt_per_hour, "its steady change, each axis (6)");
}

/// A wrong name is said before the work, the sheet is written after it.
Result<SheetFormat> air_sheet_format(const SheetOptions& asked) {
  return asked.sheet ? sheet_format_of(*asked.sheet) : Result<SheetFormat>{SheetFormat::pdf};
}

Result<Done> write_air_sheet(const SheetOptions& asked, const Result<std::string>& bytes) {
  if (!bytes) return bytes.error();
  return write_file(*asked.sheet, bytes.value());
}

int run_air_solve(const AirVerb<AirRequest>& options) {
  const auto format = air_sheet_format(options.sheet);
  if (!format) return print_error(format.error());
  auto book = options.book.open();
  if (!book) return print_error(book.error());
  const AirRequest request = options.complete();
  const auto document = solve_air_file(request);
  if (!document) return print_error(document.error());
  const int kept = keep_finding(book.value(), request, document.value());
  if (kept != kExitDone) return kept;
  if (options.sheet.sheet) {
    const auto written = write_air_sheet(
        options.sheet, air_sheet(document.value(), format.value(), options.sheet.size()));
    if (!written) return print_error(written.error());
  }
  const int printed =
      print_answer(options.json ? to_json(document.value()) + "\n" : air_text(document.value()));
  if (printed != kExitDone) return printed;
  const bool within = document.value().air.verdict.state == VerdictState::within;
  return options.check && !within ? kExitNotWithin : kExitDone;
}

int run_air_plan(const AirVerb<AirPlanRequest>& options) {
  const auto format = air_sheet_format(options.sheet);
  if (!format) return print_error(format.error());
  const auto document = plan_air_check(options.complete());
  if (!document) return print_error(document.error());
  if (options.sheet.sheet) {
    const auto written = write_air_sheet(
        options.sheet, air_plan_sheet(document.value(), format.value(), options.sheet.size()));
    if (!written) return print_error(written.error());
  }
  return print_answer(options.json ? to_json(document.value()) + "\n"
                                   : air_plan_text(document.value()));
}

int run_air_simulate(const SimulateFlightRequest& request) {
  const auto made = simulate_flight(request);
  if (!made) return print_error(made.error());
  std::string out;
  for (const std::string& path : made.value().paths) out += "wrote " + path + "\n";
  out += fmt::format("solve it with --variation-deg {:.1f}\n", made.value().variation_deg);
  return print_answer(out);
}

void add_air_solve(CLI::App& air, int& exit_code) {
  auto options = std::make_shared<AirVerb<AirRequest>>();
  CLI::App* solve = air.add_subcommand(
      "solve", "wind, airspeed and heading deviation from legs or a recording, with bands");
  AirRequest& r = options->request;
  solve->add_option("FLIGHT", r.path, "legs or flight log in CSV, or NMEA 0183")->required();
  solve->add_option("--tracks-are", r.tracks_are, "true (default) or magnetic");
  solve->add_option("--headings-are,--stations-are", r.headings_are,
                    "what the display shows: magnetic (default) or true");
  add_assumed(*solve, r.assumed, options->place);
  solve->add_option("--tas-sigma-kt", r.tas_sigma_kt,
                    "common error of the airspeeds in column tas_kt, 1 sigma (3)");
  solve->add_option("--least-leg-s", r.least_leg_s, "shortest leg taken from a log (30)");
  solve->add_option("--limit-deg", r.limit_deg, "what the display may be off");
  solve->add_option("--limit-basis", r.limit_basis, "where that limit comes from");
  solve->add_option("--aircraft", r.aircraft, "name for the document and the sheet");
  add_sheet_options(*solve, options->sheet);
  add_book_options(*solve, options->book);
  solve->add_flag("--json", options->json, "print one JSON document");
  solve->add_flag("--check", options->check, "exit with 1 unless the verdict is `within`");
  solve->callback([options, &exit_code] { exit_code = run_air_solve(*options); });
}

void add_air_plan(CLI::App& air, int& exit_code) {
  auto options = std::make_shared<AirVerb<AirPlanRequest>>();
  CLI::App* plan =
      air.add_subcommand("plan", "legs that tell most in the minutes available, with cautions");
  AirPlanRequest& r = options->request;
  plan->add_option("--tas,--tas-kt", r.tas_kt, "true airspeed to fly, kt")->required();
  plan->add_option("--minutes", r.minutes, "for the legs and the turns between them")->required();
  CLI::Option* guess = plan->add_option(
      "--wind-guess", r.wind_guess, "FROM/KT: degrees true it comes from and knots, 240/15 (none)");
  plan->add_option("--wind-from-deg", r.wind_from_deg, "the same in two options")->excludes(guess);
  plan->add_option("--wind-kt", r.wind_kt)->excludes(guess);
  plan->add_option("--leg-minutes", r.leg_minutes, "one leg with the turn before it (3)");
  add_assumed(*plan, r.assumed, options->place);
  plan->add_option("--aircraft", r.aircraft, "name for the sheet");
  add_sheet_options(*plan, options->sheet);
  plan->add_flag("--json", options->json, "print one JSON document");
  plan->callback([options, &exit_code] { exit_code = run_air_plan(*options); });
}

void add_air_simulate(CLI::App& air, int& exit_code) {
  auto request = std::make_shared<SimulateFlightRequest>();
  CLI::App* make =
      air.add_subcommand("simulate", "an invented flight with its truth, to try the check on");
  make->add_option("--out", request->folder, "folder to write to")->required();
  make->add_option("--seed", request->seed, "which flight (1)");
  make->add_option("--legs", request->legs, "how many legs (8)");
  make->add_option("--leg-s", request->leg_s, "how long each is held (120)");
  make->callback([request, &exit_code] { exit_code = run_air_simulate(*request); });
}

}  // namespace

void add_air_command(CLI::App& program, int& exit_code) {
  CLI::App* air = program.add_subcommand(
      "air", "the check in the air: heading against GPS track, wind solved along with it");
  air->require_subcommand(1);
  add_air_plan(*air, exit_code);
  add_air_solve(*air, exit_code);
  add_air_simulate(*air, exit_code);
}

}  // namespace qn
