// SPDX-License-Identifier: Apache-2.0
#include "cli/command_swing.h"

#include <memory>

#include "app/codec_swing.h"
#include "app/solve_swing.h"
#include "cli/swing_options.h"
#include "cli/swing_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct SolveOptions {
  SwingReadOptions read;
  bool json = false;
  bool check = false;
};

int run(const SolveOptions& options) {
  const auto document = solve_swing_file(options.read.complete());
  if (!document) return print_error(document.error());
  const int printed =
      print_answer(options.json ? to_json(document.value()) + "\n" : swing_text(document.value()));
  if (printed != kExitDone) return printed;
  return options.check && !every_verdict_within(document.value().swing) ? kExitNotWithin
                                                                        : kExitDone;
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
  solve->add_option("--limit", options->read.request.limits,
                    "NAME=DEG: what that compass may be off (standby: 10)");
  solve->add_option("--limit-basis", options->read.request.limit_basis,
                    "where those limits come from");
  solve->add_flag("--json", options->json, "print one JSON document");
  solve->add_flag("--check", options->check, "exit with 1 unless every verdict is `within`");
  solve->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
