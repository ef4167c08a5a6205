// SPDX-License-Identifier: Apache-2.0
#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "app/version.h"
#include "cli/command_air.h"
#include "cli/command_book.h"
#include "cli/command_card.h"
#include "cli/command_disturb.h"
#include "cli/command_earth.h"
#include "cli/command_link.h"
#include "cli/command_run.h"
#include "cli/command_sensor.h"
#include "cli/command_serve.h"
#include "cli/command_swing.h"
#include "cli/folded_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

// The command whose help would have helped: the deepest one that was named.
std::string named_command(const CLI::App& program) {
  std::string name = "quietnorth";
  const CLI::App* at = &program;
  while (!at->get_subcommands().empty()) {
    at = at->get_subcommands().front();
    name += " " + at->get_name();
  }
  return name;
}

// The library says "a subcommand is required" where a word was given but is none of ours.
std::string what_is_wrong(const CLI::App& program, const CLI::ParseError& error) {
  const auto unknown = program.remaining();
  if (unknown.empty() || !program.get_subcommands().empty()) return error.what();
  const bool option = unknown.front().rfind('-', 0) == 0;
  return std::string{"there is no "} + (option ? "option" : "command") + " '" + unknown.front() +
         "'";
}

int print_parse_error(const CLI::App& program, const CLI::ParseError& error) {
  const std::string command = named_command(program);
  return print_error(Error{ErrorKind::OutOfRange, what_is_wrong(program, error),
                           "command line of " + command, "what '" + command + " --help' shows",
                           "correct the command; nothing was read or written"});
}

int run_command_line(int argc, char** argv) {
  int exit_code = kExitDone;
  CLI::App program{
      "Quietnorth: how far a magnetic heading can be trusted, in degrees.\n"
      "Advisory: not for navigation until verified in flight.",
      "quietnorth"};
  program.formatter(std::make_shared<FoldedHelp>());
  program.set_version_flag("--version", "quietnorth " + std::string{program_version()});
  program.require_subcommand(1);
  add_earth_command(program, exit_code);
  add_sensor_command(program, exit_code);
  add_disturb_command(program, exit_code);
  add_swing_command(program, exit_code);
  add_card_command(program, exit_code);
  add_air_command(program, exit_code);
  add_link_command(program, exit_code);
  add_book_command(program, exit_code);
  add_run_command(program, exit_code);
  add_serve_command(program, exit_code);
  try {
    std::vector<std::string> words = with_sensor_verb({argv + 1, argv + argc});
    std::reverse(words.begin(), words.end());  // the order the library wants
    program.parse(words);
  } catch (const CLI::Success& asked) {  // --help and --version arrive as exceptions
    program.exit(asked);
    return print_answer("");
  } catch (const CLI::ParseError& error) {
    return print_parse_error(program, error);
  }
  return exit_code;
}

}  // namespace
}  // namespace qn

int main(int argc, char** argv) { return qn::run_command_line(argc, argv); }
