// SPDX-License-Identifier: Apache-2.0
#include "cli/command_link_watch.h"

#include <unistd.h>

#include <memory>

#include "app/place.h"
#include "app/watch_links.h"
#include "cli/link_options.h"
#include "cli/link_text.h"
#include "cli/place_options.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct Options {
  LinkOptions links;
  PlaceOptions place;
  MeasuredFieldOptions measured;
  bool json = false;
};

Result<std::optional<LocalField>> earth_for(const Options& options) {
  if (!options.place.at && !options.place.on && !options.measured.horizontal_uT &&
      !options.measured.vertical_uT) {
    return std::optional<LocalField>{};
  }
  auto earth = local_field_from(options.place.at, options.place.on, options.measured.horizontal_uT,
                                options.measured.vertical_uT);
  if (!earth) return earth.error();
  return std::optional{std::move(earth).value()};
}

int run(const Options& options) {
  auto links = link_requests(options.links.addresses, options.links.decoding);
  if (!links) return print_error(links.error());
  auto earth = earth_for(options);
  if (!earth) return print_error(earth.error());
  WatchRequest request;
  request.links = std::move(links).value();
  request.options.root = options.links.root;
  request.earth = earth.value();
  request.seconds = options.links.seconds;
  const bool live = !options.json && ::isatty(STDOUT_FILENO) == 1;
  if (live) {
    // Home, the text, and the rest of the screen cleared: calmer than clearing first.
    request.on_tick = [](const LinksDocument& document) {
      (void)print_answer("\x1b[H\x1b[2J" + links_text(document) + "Ctrl-C ends this.\n");
    };
  }
  const auto document = watch_links(request);
  if (!document) return print_error(document.error());
  if (live) return print_answer("\x1b[H\x1b[2J" + links_text(document.value()));
  return print_answer(options.json ? to_json(document.value()) + "\n"
                                   : links_text(document.value()));
}

}  // namespace

void add_link_watch(CLI::App& link, int& exit_code) {
  auto options = std::make_shared<Options>();
  CLI::App* command = link.add_subcommand(
      "watch", "how a link is doing: rate, gaps, noise, strength, and in words what is wrong");
  add_link_options(*command, options->links);
  add_place_options(*command, options->place);
  add_measured_field_options(*command, options->measured);
  command->add_flag("--json", options->json, "print one JSON document at the end");
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
