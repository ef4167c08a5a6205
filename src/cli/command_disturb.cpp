// SPDX-License-Identifier: Apache-2.0
#include "cli/command_disturb.h"

#include "cli/command_disturb_analyse.h"
#include "cli/command_disturb_plan.h"
#include "cli/command_disturb_simulate.h"

namespace qn {

void add_disturb_command(CLI::App& program, int& exit_code) {
  CLI::App* disturb = program.add_subcommand(
      "disturb", "what disturbs the sensor: each load and moving part, by how many degrees");
  disturb->require_subcommand(1);
  add_disturb_analyse(*disturb, exit_code);
  add_disturb_plan(*disturb, exit_code);
  add_disturb_simulate(*disturb, exit_code);
}

}  // namespace qn
