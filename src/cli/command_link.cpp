// SPDX-License-Identifier: Apache-2.0
#include "cli/command_link.h"

#include "cli/command_link_decode.h"
#include "cli/command_link_list.h"
#include "cli/command_link_record.h"
#include "cli/command_link_simulate.h"
#include "cli/command_link_watch.h"

namespace qn {

void add_link_command(CLI::App& program, int& exit_code) {
  CLI::App* link = program.add_subcommand(
      "link", "sensors that speak now: find them, see how they do, record them");
  link->require_subcommand(1);
  add_link_list(*link, exit_code);
  add_link_watch(*link, exit_code);
  add_link_record(*link, exit_code);
  add_link_decode(*link, exit_code);
  add_link_simulate(*link, exit_code);
}

}  // namespace qn
