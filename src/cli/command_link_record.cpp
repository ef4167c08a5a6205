// SPDX-License-Identifier: Apache-2.0
#include "cli/command_link_record.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <memory>

#include "app/record_links.h"
#include "cli/folded_text.h"
#include "cli/link_options.h"
#include "cli/link_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct Options {
  LinkOptions links;
  RecordRequest request;
  bool json = false;
};

/// One line on standard error that is written over and over.
void show_progress(const std::vector<LinkReport>& links, double now_s) {
  std::string line = fmt::format("\r{:.0f} s", now_s);
  for (const LinkReport& link : links) {
    line += fmt::format("   link {}: {}", link.link, link.tally.readings);
    if (!link.connected && !link.ended) line += " (gone)";
    if (!link.wrong.empty()) line += " !";
  }
  std::fprintf(stderr, "%s\x1b[K", line.substr(0, kTerminalColumns).c_str());
}

void tell_loss(const LinkEvent& event) {
  if (event.kind == LinkEvent::Kind::lost) {
    std::fprintf(stderr, "\nAt %.1f s link %zu was lost; it is tried again by itself.\n",
                 event.time_s, event.link);
  }
}

int run(Options& options) {
  RecordRequest& request = options.request;
  auto links = link_requests(options.links.addresses, options.links.decoding);
  if (!links) return print_error(links.error());
  request.links = std::move(links).value();
  request.options.root = options.links.root;
  request.seconds = options.links.seconds;
  const bool terminal = ::isatty(STDERR_FILENO) == 1;
  if (terminal) request.on_tick = show_progress;
  request.on_event = tell_loss;
  const auto recorded = record_links(request);
  if (terminal) std::fprintf(stderr, "\n");
  if (!recorded) return print_error(recorded.error());
  LinksDocument document;
  document.seconds = recorded.value().seconds;
  document.links = recorded.value().links;
  if (options.json) return print_answer(to_json(document) + "\n");
  std::string text = fmt::format("{}: {:.1f} s\n\n", request.path, document.seconds);
  text += links_text(document);
  if (recorded.value().log) text += decoded_log_text(*recorded.value().log, *request.csv_path);
  return print_answer(text);
}

}  // namespace

void add_link_record(CLI::App& link, int& exit_code) {
  auto options = std::make_shared<Options>();
  CLI::App* command = link.add_subcommand(
      "record", "keep what links bring, byte for byte, and make a sensor log of it");
  add_link_options(*command, options->links);
  command->add_option("--out", options->request.path, "the recording, a new file")->required();
  command->add_option("--csv", options->request.csv_path,
                      "the sensor log as well, made at the end");
  command->add_option("--rows-of-link", options->request.csv.rows_of_link,
                      "the link whose samples are the log's rows");
  command->add_flag("--json", options->json, "print one JSON document at the end");
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
