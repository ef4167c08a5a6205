// SPDX-License-Identifier: Apache-2.0
#include "cli/command_card.h"

#include <memory>

#include "app/codec_swing.h"
#include "app/solve_swing.h"
#include "app/write_file.h"
#include "cli/sheet_options.h"
#include "cli/swing_options.h"
#include "cli/swing_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct CardCommandOptions {
  SwingReadOptions read;
  CardRequest request;
  SheetOptions sheet;
  double width_mm = 92.0;
  bool json = false;
};

Result<Done> write_card(const CardCommandOptions& options, SheetFormat format,
                        const CardDocument& document) {
  const auto bytes = card_sheet(document, options.width_mm, format, options.sheet.size());
  if (!bytes) return bytes.error();
  return write_file(*options.sheet.sheet, bytes.value());
}

int run(CardCommandOptions& options) {
  SheetFormat format = SheetFormat::pdf;
  if (options.sheet.sheet) {
    const auto asked = sheet_format_of(*options.sheet.sheet);
    if (!asked) return print_error(asked.error());
    format = asked.value();
  }
  options.request.swing = options.read.complete();
  const auto document = make_card_document(options.request);
  if (!document) return print_error(document.error());
  if (options.sheet.sheet) {
    const auto written = write_card(options, format, document.value());
    if (!written) return print_error(written.error());
  }
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
  card->add_option(
      "--loads", request.loads,
      "states for the columns, at most two: off,on or off,pitot (off, and the\nworst of "
      "the others); off is the large column in any order");
  card->add_option("--large-column", request.large, "another state for the large column");
  add_box_option(*card, options->read);
  card->add_flag("--a-removed", request.a_removed,
                 "lubber line or sensor was turned by A: leave it out, and say so on the card");
  card->add_flag("--worksheet-rule", request.worksheet_rule,
                 "STEER is FOR less the deviation at FOR, as on training worksheets");
  card->add_option("--engine", request.engine, "running or stopped during the swing");
  card->add_option("--radio", request.radio, "on or off during the swing");
  card->add_option("--loads-are", request.loads_are,
                   "which loads were on: \"landing light, heater\"");
  card->add_option("--by", request.by, "who made the swing");
  card->add_option("--place", request.place, "where, in words");
  card->add_option("--day", request.day, "day of the swing, ISO (that of --on)");
  card->add_option("--width-mm", options->width_mm, "of the card on the sheet, 45 to 180 (92)");
  add_sheet_options(*card, options->sheet);
  card->add_flag("--json", options->json, "print one JSON document");
  card->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
