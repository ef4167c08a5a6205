// SPDX-License-Identifier: Apache-2.0
#include "cli/command_card.h"

#include <memory>

#include "app/codec_swing.h"
#include "app/solve_swing.h"
#include "cli/swing_options.h"
#include "cli/swing_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct CardCommandOptions {
  SwingReadOptions read;
  CardRequest request;
  bool json = false;
};

int run(CardCommandOptions& options) {
  options.request.swing = options.read.complete();
  const auto document = make_card_document(options.request);
  if (!document) return print_error(document.error());
  return print_answer(options.json ? to_json(document.value()) + "\n"
                                   : card_text(document.value()));
}

}  // namespace

void add_card_command(CLI::App& program, int& exit_code) {
  auto options = std::make_shared<CardCommandOptions>();
  CLI::App* card =
      program.add_subcommand("card", "the correction card, FOR / STEER, of each compass");
  add_swing_read_options(*card, options->read);
  CardRequest& request = options->request;
  card->add_option("--steps", request.step_deg, "degrees between lines: 15, 30 (default) or 45");
  card->add_option("--loads", request.loads, "off, on or off,on: which columns");
  card->add_flag("--a-removed", request.a_removed,
                 "lubber line or sensor was turned by A: leave it out, and say so on the card");
  card->add_flag("--worksheet-rule", request.worksheet_rule,
                 "STEER is FOR less the deviation at FOR, as on training worksheets");
  card->add_option("--engine", request.engine, "running or stopped during the swing");
  card->add_option("--radio", request.radio, "on or off during the swing");
  card->add_option("--by", request.by, "who made the swing");
  card->add_flag("--json", options->json, "print one JSON document");
  card->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
